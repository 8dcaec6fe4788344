"""The walls of the house: which module may import which, and how long a module may grow."""

import ast
import sys
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = "almanac"
MODULES = sorted((ROOT / PACKAGE).rglob("*.py"))

ROOMS = {
    "errors": set(),
    "records": {"records"},
    "inputs": {"inputs", "records", "errors"},
    "sky": {"sky", "records", "errors"},
    "plan": {"plan", "records", "errors"},
    "publish": {"publish", "records", "errors"},
    "site_year": {"site_year", "sky", "plan", "records", "errors"},
    "almanac": {"site_year", "sky", "plan", "records", "errors"},
    "build": {"almanac", "site_files", "inputs", "sky", "publish", "workers", "records"},
    "site_files": {"inputs", "publish", "workers", "records"},
    "night_card": {"almanac", "inputs", "sky", "publish", "records", "errors", "whole_file"},
    "self_check": {"almanac", "inputs", "sky", "publish", "records"},
    "whole_file": {"errors"},
    "workers": {"errors"},
    "ask": {"inputs", "errors"},
    "cli": {
        *("ask", "build", "night_card", "self_check", "whole_file"),
        *("inputs", "records", "errors"),
    },
    "__init__": set(),
    "__main__": {"cli"},
}
"""Room or top module: the rooms that it may import."""

SKYFIELD = ("almanac/sky/kernel.py", "almanac/sky/plain.py")
"""What may import Skyfield: the almanac's one way to it, and the self-check that goes round it."""

MOST_LINES = 300


def imported(source: str, module: str) -> Iterator[tuple[int, str, bool]]:
    """Line, full name and whether it stands at the top level, for each import of a module."""
    tree = ast.parse(source)
    for node in ast.walk(tree):
        top = node in tree.body
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name, top
        elif isinstance(node, ast.ImportFrom):
            package = module.split("/")[: -node.level] if node.level else []
            base = ".".join([*package, *([node.module] if node.module else [])])
            for alias in node.names:
                yield node.lineno, f"{base}.{alias.name}", top


def breaches(source: str, module: str) -> list[str]:
    """What in a module, named by its path such as ``almanac/sky/kernel.py``, breaks a wall."""
    room = PurePosixPath(module).parts[1].removesuffix(".py")
    found = []
    for line, name, top in imported(source, module):
        parts = name.split(".")
        ours = parts[0] == PACKAGE and len(parts) > 1 and not parts[1].startswith("__")
        if ours and parts[1] not in ROOMS[room]:
            found.append(f"{module}:{line}: {room} must not import {name}")
        if parts[:3] == ["almanac", "sky", "plain"] and room != "self_check":
            found.append(f"{module}:{line}: only self_check.py imports the plain sky")
        if parts[0] == "skyfield" and module not in SKYFIELD:
            found.append(f"{module}:{line}: only kernel.py and plain.py import Skyfield")
        light = parts[0] in {*sys.stdlib_module_names, "click"} or parts[1:2] == ["errors"]
        if room == "cli" and top and not light and (ours or parts[0] != PACKAGE):
            found.append(f"{module}:{line}: import {name} inside the command that needs it")
    return found


def test_every_room_keeps_to_its_walls() -> None:
    """A room imports itself, the records and the errors; the way through the house is one way."""
    found = []
    for path in MODULES:
        found += breaches(path.read_text(encoding="utf-8"), path.relative_to(ROOT).as_posix())
    assert found == []


@pytest.mark.parametrize(
    ("module", "source", "message"),
    [
        (
            "almanac/plan/hop.py",
            "from almanac.sky import kernel",
            "almanac/plan/hop.py:1: plan must not import almanac.sky.kernel",
        ),
        (
            "almanac/records/year.py",
            "import almanac.errors",
            "almanac/records/year.py:1: records must not import almanac.errors",
        ),
        (
            "almanac/sky/phases.py",
            "def late():\n    from ..plan.windows import find",
            "almanac/sky/phases.py:2: sky must not import almanac.plan.windows.find",
        ),
        (
            "almanac/inputs/config.py",
            "from almanac import build",
            "almanac/inputs/config.py:1: inputs must not import almanac.build",
        ),
        (
            "almanac/sky/phases.py",
            "from skyfield.api import load",
            "almanac/sky/phases.py:1: only kernel.py and plain.py import Skyfield",
        ),
        (
            "almanac/sky/phases.py",
            "from almanac.sky.plain import PlainSky",
            "almanac/sky/phases.py:1: only self_check.py imports the plain sky",
        ),
        (
            "almanac/cli.py",
            "import numpy",
            "almanac/cli.py:1: import numpy inside the command that needs it",
        ),
        (
            "almanac/cli.py",
            "from almanac.build import build",
            "almanac/cli.py:1: import almanac.build.build inside the command that needs it",
        ),
    ],
)
def test_a_breach_is_found(module: str, source: str, message: str) -> None:
    """The wall test sees a forbidden import, also a relative one or one inside a function."""
    assert breaches(source, module) == [message]


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("almanac/plan/hop.py", "import numpy\nfrom almanac.records.config import Site"),
        ("almanac/sky/kernel.py", "from skyfield.api import load"),
        ("almanac/cli.py", "import click\nfrom almanac import __version__, errors"),
        ("almanac/cli.py", "def build():\n    from almanac.build import build"),
        ("almanac/build.py", "from almanac.almanac import compute"),
    ],
)
def test_a_proper_import_passes(module: str, source: str) -> None:
    """What the plan of the house allows is not reported."""
    assert breaches(source, module) == []


def test_no_module_grows_beyond_a_few_pages() -> None:
    """A module that needs more lines has two subjects."""
    lines = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in MODULES}
    long = {path.relative_to(ROOT).as_posix(): n for path, n in lines.items() if n > MOST_LINES}
    assert long == {}
