"""A whole build that is stopped, killed or refused leaves one whole site, and says so in words.

``--kills 200`` is the long form; each kill is a build of some seconds.
"""

import hashlib
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

import pytest

pytestmark = [
    pytest.mark.skipif(sys.platform != "linux", reason="processes are looked up in /proc"),
    pytest.mark.xdist_group("broken-off"),  # one process builds the clubs
]

Run = Callable[..., subprocess.CompletedProcess[str]]
Start = Callable[[str], "subprocess.Popen[str]"]
Digests = dict[str, str]

HANGUP = getattr(signal, "SIGHUP", signal.SIGTERM)
SIGNALS = {"term": signal.SIGTERM, "keyboard": signal.SIGINT, "terminal": HANGUP}
LONGEST_S = 120.0
MOST_BYTES = 60_000
"""More than the lock and most pages have, less than the data."""
BEGUN = ".site.new"
"""Where the new site is built."""
MARKER = ".site.new/.almanac-files.json"
"""Made when the new site is whole: the swap and the removal of the old site come next."""
NEAR_SWAP_S = 0.1
"""In which the swap is over and the old site being removed."""
LIMITED = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv.pop(1)), resource.RLIM_INFINITY))
from almanac.cli import main
main(prog_name="almanac")
"""


class Clubs(NamedTuple):
    """Two configs whose sites differ in most files, and their sites."""

    configs: dict[str, Path]
    sites: dict[str, Digests]
    folder: Path
    """Where each site lies."""
    build_s: float
    """How long a build takes here and now."""


def digests(folder: Path) -> Digests:
    """SHA-256 of each file by its path in the folder."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in files
    }


@pytest.fixture(scope="module")
def clubs(
    almanac: Run, quarry_config: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Clubs]:
    """The golden club under two names, each built once undisturbed."""
    folder = tmp_path_factory.mktemp("clubs")
    text = quarry_config.read_text(encoding="utf-8")
    configs, sites = {}, {}
    for name in ("Juniper", "Bramble"):
        configs[name] = folder / f"{name}.toml"
        configs[name].write_text(text.replace("Juniper", name), encoding="utf-8")
        started = time.monotonic()
        run = almanac("build", configs[name], "--no-booklet", "--jobs", "2", "--out", folder / name)
        build_s = time.monotonic() - started
        assert run.returncode == 0, run.stderr
        sites[name] = digests(folder / name)
    same = [path for path in sites["Juniper"] if sites["Juniper"][path] == sites["Bramble"][path]]
    assert 0 < len(same) < len(sites["Juniper"]) / 2
    yield Clubs(configs, sites, folder, build_s)
    shutil.rmtree(folder)


@pytest.fixture
def folder(clubs: Clubs, tmp_path: Path) -> Path:
    """The first club's site, published."""
    return Path(shutil.copytree(clubs.folder / "Juniper", tmp_path / "site"))


def obey_the_keyboard() -> None:
    """As in a terminal, even if these tests run in the background, where nothing does."""
    for number in SIGNALS.values():
        signal.signal(number, signal.SIG_DFL)


@pytest.fixture
def start(clubs: Clubs, almanac_command: tuple[str, ...], root: Path, tmp_path: Path) -> Start:
    """Begin to build a club's site in tmp_path/site, by two processes."""
    options = ["--no-booklet", "--jobs", "2", "--out", str(tmp_path / "site")]
    # A stop amid the opening of a file leaves it to Python to close: told only on request.
    command = [*almanac_command[:-2], "-W", "ignore::ResourceWarning", *almanac_command[-2:]]

    def started(name: str) -> "subprocess.Popen[str]":
        return subprocess.Popen(
            [*command, "build", str(clubs.configs[name]), *options],
            cwd=root,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
            preexec_fn=obey_the_keyboard,
        )

    return started


def finished(build: "subprocess.Popen[str]") -> str:
    """Wait for the end of a build and give back what it said of errors."""
    return build.communicate(timeout=LONGEST_S)[1]


def workers(build: "subprocess.Popen[str]") -> list[int]:
    """Processes that a build has started."""
    try:
        return [
            int(n) for n in Path(f"/proc/{build.pid}/task/{build.pid}/children").read_text().split()
        ]
    except OSError:
        return []


def kill(way: str, build: "subprocess.Popen[str]") -> None:
    """End a build, all its processes or one of its workers; with or without a word."""
    number = SIGNALS.get(way, signal.SIGKILL)
    try:
        if way in ("all", "keyboard", "terminal"):
            os.killpg(build.pid, number)
        elif way == "worker":
            for worker in workers(build)[:1]:
                os.kill(worker, number)
        else:
            build.send_signal(number)
    except ProcessLookupError:
        pass  # it has ended by itself


def wait_for(path: Path, build: "subprocess.Popen[str]") -> None:
    """Look out for a file until it is there or the build has ended."""
    while not path.exists() and build.poll() is None:
        time.sleep(0.001)


def wait_s(seconds: float, build: "subprocess.Popen[str]") -> None:
    """Let so much time pass, unless the build ends by itself."""
    with suppress(subprocess.TimeoutExpired):
        build.wait(seconds)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """As many kills as asked for."""
    if "kills" in metafunc.fixturenames:
        metafunc.parametrize("kills", [metafunc.config.getoption("--kills")])


def test_a_killed_build_leaves_the_old_site_or_the_new_one(
    kills: int,
    clubs: Clubs,
    start: Start,
    folder: Path,
    tmp_path: Path,
    request: pytest.FixtureRequest,
) -> None:
    """Build upon build into one folder, each killed at a random moment in one of five ways."""
    rng = random.Random(request.config.getoption("--seed"))
    stands, seen = "Juniper", set[bool]()
    for number in range(kills):
        wanted = "Bramble" if stands == "Juniper" else "Juniper"
        way = ("build", "all", "worker", "term", "keyboard")[number % 5]
        build = start(wanted)
        if number == 0:  # however fast or slow this machine is, it has only begun
            wait_for(tmp_path / BEGUN, build)
        elif number % 3 == 1:
            wait_for(tmp_path / MARKER, build)
            wait_s(rng.uniform(0, NEAR_SWAP_S), build)
        else:
            wait_s(rng.uniform(0, 1.1 * clubs.build_s), build)
        kill(way, build)
        told = finished(build)
        found = digests(folder)
        new = found == clubs.sites[wanted]
        assert new or found == clubs.sites[stands], (number, way)
        assert new or build.returncode != 0, (number, way, told)
        if "; the site in " in told:  # it had begun to publish, and time to tidy up
            assert os.listdir(tmp_path) == ["site"], (number, way, told)
        assert build.returncode <= 0 or told.startswith("error: ") or "KeyboardInterrupt" in told
        seen.add(new)
        stands = wanted if new else stands
    assert finished(start(stands)) == ""
    assert digests(folder) == clubs.sites[stands]
    assert os.listdir(tmp_path) == ["site"]
    assert False in seen
    assert kills < 50 or True in seen


@pytest.mark.parametrize(
    ("way", "code", "words"),
    [
        ("term", 130, "error: stopped before the end; the site in "),
        ("terminal", 130, "error: stopped before the end; the site in "),
        ("worker", 1, "error: A process that shared the work was killed, perhaps for want of"),
    ],
)
def test_a_build_that_is_stopped_says_what_became_of_the_site(
    way: str, code: int, words: str, clubs: Clubs, start: Start, folder: Path, tmp_path: Path
) -> None:
    """One line, no traceback, no litter, soon."""
    build = start("Bramble")
    wait_for(tmp_path / ".site.new", build)
    stopped = time.monotonic()
    kill(way, build)
    told = finished(build)
    assert time.monotonic() - stopped < clubs.build_s
    assert build.returncode == code
    assert told.strip().startswith(words)
    assert told.endswith(f"; the site in {folder} is as it was\n")
    assert told.strip().count("\n") == 0
    assert digests(folder) == clubs.sites["Juniper"]
    assert os.listdir(tmp_path) == ["site"]


def test_two_builds_at_once_leave_one_whole_site(
    clubs: Clubs, start: Start, tmp_path: Path
) -> None:
    """One publishes; the other publishes before or after it, or is told why not."""
    both = {name: start(name) for name in clubs.configs}
    told = {name: finished(build) for name, build in both.items()}
    done = [name for name, build in both.items() if build.returncode == 0]
    assert done
    assert digests(tmp_path / "site") in [clubs.sites[name] for name in done]
    assert os.listdir(tmp_path) == ["site"]
    for name in set(both) - set(done):
        assert "Another build " in told[name]
        assert told[name].count("\n") == 1


def test_a_disk_that_takes_no_more_leaves_the_old_site(
    clubs: Clubs, folder: Path, root: Path, tmp_path: Path
) -> None:
    """No file may grow beyond a limit: the build ends in one line, whichever file it was."""
    command = [sys.executable, "-B", "-c", LIMITED, str(MOST_BYTES), "build"]
    options = ["--no-booklet", "--jobs", "2", "--out", str(folder)]
    run = subprocess.run(
        [*command, str(clubs.configs["Bramble"]), *options],
        cwd=root, capture_output=True, text=True, timeout=LONGEST_S, check=False,
    )  # fmt: skip
    assert run.returncode == 1
    assert run.stderr == (
        f"error: Output folder {folder}: File too large. The site there is as it was.\n"
    )
    assert digests(folder) == clubs.sites["Juniper"]
    assert os.listdir(tmp_path) == ["site"]
