"""Renews the pinned versions in .ci, and the licences in DEVELOPERS.md.

By hand, when newer releases are wanted; all tests follow. It asks the registry that pip's or uv's
own settings name, and writes no address.

    .venv/bin/pip install uv && .venv/bin/python tests/tools/supply.py
"""

import re
import subprocess
import tomllib
from collections.abc import Iterator
from importlib.metadata import Distribution, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[2]
DEVELOPERS = ROOT / "DEVELOPERS.md"
RUN, TEST, LOWEST = (ROOT / f".ci/pins-{kind}.txt" for kind in ("run", "test", "lowest"))
"""What runs, with what builds the package; what the tests need besides; the least that may run."""
HEADING = "### Licences of what runs\n"
ENTRY = re.compile(r"^(?=\S)", re.MULTILINE)
"""Where a package's lines begin."""

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
NEEDED: list[str] = PROJECT["project"]["dependencies"]
BUILD: list[str] = PROJECT["build-system"]["requires"]
TESTED: list[str] = PROJECT["project"]["optional-dependencies"]["test"]


def resolved(requirements: list[str], *options: str) -> list[str]:
    """An entry with version, marker and hashes for each package, for every system and Python."""
    made_for = ("--universal", "--python-version", "3.11", "--only-binary", ":all:")
    plain = ("--generate-hashes", "--no-header", "--no-annotate", "--no-emit-index-url", "--quiet")
    found = subprocess.run(
        ["uv", "pip", "compile", "-", *made_for, *plain, *options],
        input="\n".join(requirements),
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    return [entry for entry in ENTRY.split(found.stdout) if "==" in entry]


def name(entry: str) -> str:
    """The package that an entry pins."""
    return canonicalize_name(entry.partition("==")[0])


def write_pins() -> None:
    """Write the three files of pins."""
    everything = resolved([*NEEDED, *BUILD, *TESTED])
    running = {name(entry) for entry in resolved([*NEEDED, *BUILD])}
    RUN.write_text("".join(entry for entry in everything if name(entry) in running))
    TEST.write_text("".join(entry for entry in everything if name(entry) not in running))
    LOWEST.write_text("".join(resolved(NEEDED, "--resolution", "lowest-direct")))


def running() -> dict[str, Distribution]:
    """What the program needs, and what that needs, as installed here; by name."""
    found: dict[str, Distribution] = {}
    ahead = [Requirement(text) for text in NEEDED]
    while ahead:
        wanted = ahead.pop()
        key = canonicalize_name(wanted.name)
        if key not in found and (wanted.marker is None or wanted.marker.evaluate({"extra": ""})):
            found[key] = distribution(key)
            ahead += map(Requirement, found[key].requires or ())
    return dict(sorted(found.items()))


def licence(package: Distribution) -> str:
    """What a package says of itself, in as few words as it does."""
    told = package.metadata
    named = [
        kind.rpartition(" :: ")[2] for kind in told.get_all("Classifier") or () if "License" in kind
    ]
    first = (told.get("License") or "").strip().partition("\n")[0]
    return told.get("License-Expression") or ", ".join(named) or first


def licence_rows() -> Iterator[str]:
    """The table of licences, line by line."""
    yield "| package | licence |"
    yield "|---|---|"
    for key, package in running().items():
        yield f"| {key} | {licence(package)} |"


def write_licences() -> None:
    """Write the table under its heading, up to the next one."""
    before, heading, rest = DEVELOPERS.read_text("utf-8").partition(HEADING)
    words, _, after = rest.partition("| package | licence |")
    after = after[after.index("\n\n") :]
    DEVELOPERS.write_text(before + heading + words + "\n".join(licence_rows()) + after, "utf-8")


if __name__ == "__main__":
    write_pins()
    write_licences()
