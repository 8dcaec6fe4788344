"""What the almanac stands on: bounded, pinned by hash, licensed."""

import re
from pathlib import Path

import supply
from packaging.requirements import Requirement
from packaging.version import Version

HASH = re.compile(r"--hash=sha256:[0-9a-f]{64}")


def entries(*files: Path) -> list[str]:
    """The pins of files."""
    return [
        entry for file in files for entry in supply.ENTRY.split(file.read_text("utf-8")) if entry
    ]


def pinned(*files: Path) -> dict[str, set[Version]]:
    """The versions of each package; several where Pythons differ."""
    found: dict[str, set[Version]] = {}
    for entry in entries(*files):
        found.setdefault(supply.name(entry), set()).add(
            Version(entry.partition("==")[2].split()[0])
        )
    return found


def test_every_pin_has_its_hashes_and_no_address() -> None:
    """Pins are checked by what they contain, wherever they come from."""
    files = (supply.RUN, supply.TEST, supply.LOWEST)
    assert [entry for entry in entries(*files) if not HASH.search(entry)] == []
    for file in files:
        text = file.read_text("utf-8")
        assert "//" not in text
        assert not re.search(r"index|find-links|trusted", text)
        assert HASH.sub("", text).count("--") == 0


def test_what_is_needed_is_pinned_within_its_bounds() -> None:
    """Each package that pyproject.toml names is pinned, and to a version that it allows."""
    pins = pinned(supply.RUN, supply.TEST)
    for text in (*supply.NEEDED, *supply.BUILD, *supply.TESTED):
        wanted = Requirement(text)
        versions = pins[supply.canonicalize_name(wanted.name)]
        assert all(map(wanted.specifier.contains, versions)), text
    assert {supply.name(entry) for entry in entries(supply.TEST)}.isdisjoint(pinned(supply.RUN))


def test_the_lowest_pins_are_the_lower_bounds() -> None:
    """What is tried as lowest is what pyproject.toml calls lowest; all but dates have a top too."""
    pins = pinned(supply.LOWEST)
    for wanted in map(Requirement, supply.NEEDED):
        bounds = {bound.operator: Version(bound.version) for bound in wanted.specifier}
        assert pins[wanted.name] == {bounds[">="]}, wanted
        assert "<" in bounds or wanted.name == "tzdata", wanted


def test_licences_are_told_of_all_that_runs() -> None:
    """The list is what the installed packages say of themselves."""
    told = supply.DEVELOPERS.read_text("utf-8").partition(supply.HEADING)[2]
    rows = [line for line in told.partition("\n## ")[0].splitlines() if line.startswith("|")]
    assert rows == list(supply.licence_rows())
    assert [row for row in rows if row.endswith("|  |")] == []
