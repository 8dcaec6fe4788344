"""The installed almanac: a wheel holds templates and tables, and works from where it lies."""

import os
import subprocess
import sys
import zipfile
from importlib.util import find_spec
from pathlib import Path

import pytest


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
