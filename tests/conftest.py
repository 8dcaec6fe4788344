"""What tests of the whole program share: its commands, and sites built once a session."""

import fcntl
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
ALMANAC = (
    sys.executable,
    "-W",
    "error",
    "-c",
    "from almanac.cli import main; main(prog_name='almanac')",
)
"""The installed command, run from this checkout with warnings as errors."""

Run = Callable[..., subprocess.CompletedProcess[str]]


SLOW_ROOMS = ("sky", "site_year")
"""Rooms whose tests compute years and hold them against other libraries."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark the slow rooms, so that ``-m "not slow and not browser"`` is quick."""
    for item in items:
        if item.path.parent.name in SLOW_ROOMS:
            item.add_marker("slow")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Offer to write the golden texts anew, and to make the random tests as long as wanted."""
    parser.addoption("--renew-golden", action="store_true", help="write tests/golden anew")
    parser.addoption("--examples", type=int, default=20, help="fuzzed inputs for each test")
    parser.addoption("--site-years", type=int, default=2, help="random site-years to compute")
    parser.addoption("--languages", default="de", help="to look at, such as de,es,fr")
    parser.addoption("--kills", type=int, default=2, help="builds to kill at random moments")
    parser.addoption("--seed", type=int, default=0, help="of the random site-years and kills")


def run_almanac(
    *arguments: str | Path, cwd: Path = ROOT, **environment: str
) -> subprocess.CompletedProcess[str]:
    """Run a command in a process of its own; variables are added to a bare environment."""
    bare = {key: os.environ[key] for key in ("PATH", "HOME", "TMPDIR") if key in os.environ}
    return subprocess.run(
        [*ALMANAC, *map(str, arguments)],
        cwd=cwd,
        env={**bare, "PYTHONPATH": str(ROOT), **environment},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.fixture(scope="session")
def root() -> Path:
    """The checkout."""
    return ROOT


@pytest.fixture(scope="session")
def almanac_command() -> tuple[str, ...]:
    """The command's first words, for a test that starts the process itself."""
    return ALMANAC


@pytest.fixture(scope="session")
def almanac() -> Run:
    """Run ``almanac`` with these arguments (and cwd, and environment variables)."""
    return run_almanac


def build_once(config: Path, name: str, factory: pytest.TempPathFactory) -> Path:
    """The site of a config, built by whichever worker comes first; the others wait for it."""
    shared = factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        shared = shared.parent
    site, done = shared / name, shared / f"{name}.done"
    with (shared / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not done.exists():
            shutil.rmtree(site, ignore_errors=True)
            result = run_almanac("build", config, "--out", site)
            assert result.returncode == 0, result.stderr
            done.touch()
    return site


@pytest.fixture(scope="session")
def demo_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's site; read it, never write to it."""
    return build_once(ROOT / "site_config/demo.toml", "demo-site", tmp_path_factory)


@pytest.fixture(scope="session")
def quarry_config() -> Path:
    """The small config of the golden build."""
    return ROOT / "tests/golden/quarry.toml"


@pytest.fixture(scope="session")
def quarry_site(quarry_config: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The golden config's site; read it, never write to it."""
    return build_once(quarry_config, "quarry-site", tmp_path_factory)


@pytest.fixture(scope="session")
def hostile_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site of a club whose texts are attacks; read it, never write to it."""
    return build_once(ROOT / "tests/tools/hostile.toml", "hostile-site", tmp_path_factory)
