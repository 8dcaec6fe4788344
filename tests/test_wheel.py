"""The installed almanac: a wheel holds templates and tables, and works from where it lies."""

import json
import os
import shutil
import subprocess
import sys
import venv
import zipfile
from collections.abc import Callable
from datetime import datetime
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
import supply


def pip(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    """Run pip without its own chatter."""
    quiet = ("--quiet", "--disable-pip-version-check", "--no-input")
    command = [sys.executable, "-m", "pip", *map(str, arguments), *quiet]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)


@pytest.fixture(scope="module")
def wheel(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this checkout, built by the build backend if it is here, else by pip's copy."""
    folder = tmp_path_factory.mktemp("wheel")
    alone = ["--no-build-isolation"] if find_spec("hatchling") else []
    run = pip("wheel", root, "--no-deps", *alone, "--wheel-dir", folder)
    if run.returncode and not alone and os.environ.get("CI") != "true":
        pytest.skip("hatchling is not installed and pip could not fetch it: no wheel to test")
    assert run.returncode == 0, run.stderr
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder into which the wheel alone is installed."""
    folder = tmp_path_factory.mktemp("installed")
    run = pip("install", "--no-deps", "--no-index", "--target", folder, wheel)
    assert run.returncode == 0, run.stderr
    return folder


def run_installed(installed: Path, *arguments: str | Path) -> subprocess.CompletedProcess[str]:
    """Run Python far from the checkout, with the installed almanac first on its path."""
    return subprocess.run(
        [sys.executable, "-W", "error", *map(str, arguments)],
        cwd=installed.parent,
        env={**os.environ, "PYTHONPATH": str(installed)},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


KINDS = ("*.py", "*.csv", "*.toml", "*.po")


def test_the_wheel_holds_what_the_program_needs(wheel: Path, root: Path) -> None:
    """Every module, table and template of the checkout is inside, and nothing else."""
    inside = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
    package = [p for kind in KINDS for p in (root / "almanac").rglob(kind)]
    templates = [p for p in (root / "templates").rglob("*") if p.is_file()]
    wanted = {path.relative_to(root).as_posix() for path in package}
    wanted |= {f"almanac/_{path.relative_to(root).as_posix()}" for path in templates}
    assert "almanac/_templates/assets/almanac.css" in wanted
    assert "almanac/inputs/data/stars.csv" in wanted
    assert inside == wanted


def test_an_installed_almanac_finds_its_templates(installed: Path) -> None:
    """Installed, the templates lie inside the package and a page can be rendered from them."""
    script = (
        "from almanac.publish.pages.engine import assets, templates_folder\n"
        "print(templates_folder())\nprint(len(assets()))"
    )
    run = run_installed(installed, "-c", script)
    folder, count = run.stdout.split()
    assert Path(folder) == installed / "almanac/_templates"
    assert int(count) >= 2


def test_an_installed_almanac_runs(installed: Path, root: Path) -> None:
    """The console script of the wheel checks a config far from the checkout."""
    config = root / "site_config/minimal.toml"
    run = run_installed(installed, installed / "bin/almanac", "check", config)
    assert (run.returncode, run.stderr) == (0, "")
    assert "no fault. Juniper Hollow Skywatchers" in run.stdout


# The lowest versions, and nothing but what runs

FAST = (
    "tests/inputs/test_config.py",
    "tests/inputs/test_config_files.py",
    "tests/publish/test_wording.py",
)
"""Tests of the libraries that change most; they need nothing but pytest."""
PYTEST = {"pytest", "iniconfig", "packaging", "pluggy", "pygments"}
SHOWN = ("altitude_deg", "azimuth_deg", "airmass", "finest_detail_km", "sun_separation_deg")
SAME_FIGURE, SAME_S = 1e-3, 2.0
"""An older table of the Earth's rotation differs by a fraction of a second, figures by what the
sky turns in it."""


def made_once(folder: Path, pins: str, make: Callable[[Path, Path], None]) -> Path:
    """A folder made by these pins in this checkout, kept for as long as they stay the same."""
    listed = folder / "pins.txt"
    if not listed.exists() or listed.read_text("utf-8") != pins:
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir()
        wanted = folder / "wanted.txt"
        wanted.write_text(pins, "utf-8")
        make(folder, wanted)
        wanted.rename(listed)
    return folder


def checked_install(python: Path | str, wanted: Path, *options: str | Path) -> None:
    """Install pinned wheels, each checked by its hash."""
    checks = ("--require-hashes", "--only-binary", ":all:", "--quiet", "--no-input")
    command = [python, "-m", "pip", "install", *checks, "-r", wanted, *options]
    subprocess.run([*map(str, command)], check=True, timeout=400, capture_output=True)


@pytest.fixture
def lowest(root: Path, wheel: Path) -> Path:
    """Programs of an environment with the wheel and the lowest versions of what it needs."""

    def make(folder: Path, wanted: Path) -> None:
        venv.create(folder, with_pip=True)
        checked_install(folder / "bin/python", wanted)

    programs = made_once(root / ".venv-lowest", supply.LOWEST.read_text("utf-8"), make) / "bin"
    ours = ("install", "--quiet", "--force-reinstall", "--no-deps", "--no-index", wheel)
    subprocess.run([programs / "python", "-m", "pip", *ours], check=True, timeout=120)
    return programs


@pytest.fixture
def pytest_alone(root: Path) -> Path:
    """A folder with pytest and what it needs."""
    files = (supply.RUN, supply.TEST)
    pins = [pin for file in files for pin in supply.ENTRY.split(file.read_text("utf-8"))]
    pins = [pin for pin in pins if supply.name(pin) in PYTEST]

    def make(folder: Path, wanted: Path) -> None:
        checked_install(sys.executable, wanted, "--target", folder)

    return made_once(root / ".venv-lowest-pytest", "".join(pins), make)


@pytest.mark.skipif(sys.version_info >= (3, 13), reason="the lowest versions are older than that")
def test_the_lowest_versions_work(
    lowest: Path, pytest_alone: Path, root: Path, quarry_site: Path, tmp_path: Path
) -> None:
    """The wheel builds a site on them alone, with the same figures; tests of reading pass too."""
    bare = {"PATH": os.environ["PATH"], "HOME": str(tmp_path), "PYTHONWARNINGS": "error"}

    def run(*command: str | Path, **more: str) -> None:
        done = subprocess.run(
            [*map(str, command)],
            cwd=tmp_path,
            env=bare | more,
            capture_output=True,
            text=True,
            timeout=300,
            check=False,
        )
        assert (done.returncode, done.stderr) == (0, ""), done.stdout

    config = root / "tests/golden/quarry.toml"
    run(lowest / "almanac", "check", config, "--sky")
    run(lowest / "almanac", "build", config, "--out", tmp_path / "site")
    assert near(windows(tmp_path / "site"), windows(quarry_site))
    tests = [root / path for path in FAST]
    alone = {"PYTHONPATH": str(pytest_alone)}
    run(lowest / "python", "-m", "pytest", "-q", "-p", "no:cacheprovider", *tests, **alone)


def windows(site: Path) -> list[dict[str, Any]]:
    """All windows of a site's one year, as its data tell them."""
    (path,) = site.rglob("year.json")
    return [
        window for night in json.loads(path.read_bytes())["nights"] for window in night["windows"]
    ]


def near(one: list[dict[str, Any]], other: list[dict[str, Any]]) -> bool:
    """Whether two lists of windows are the same but for the Earth's rotation."""
    assert len(one) == len(other) > 100
    for mine, theirs in zip(one, other, strict=True):
        for key in ("start_utc", "best_utc", "end_utc"):
            apart = datetime.fromisoformat(mine[key]) - datetime.fromisoformat(theirs[key])
            assert abs(apart.total_seconds()) <= SAME_S, (mine, theirs)
        for key in SHOWN:
            assert abs((mine[key] or 0) - (theirs[key] or 0)) <= SAME_FIGURE, (mine, theirs)
        stars = [
            window["calibration"] and window["calibration"]["star"] for window in (mine, theirs)
        ]
        assert stars[0] == stars[1]
    return True
