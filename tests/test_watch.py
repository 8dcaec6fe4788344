"""A build writes in the site's folder and beside it alone, and asks nothing of any network."""

import ast
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

WATCH = """
import os, sys
log = os.open(sys.argv.pop(1), os.O_WRONLY | os.O_APPEND)
WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
ACTING = ("socket", "subprocess", "tempfile", "shutil", "urllib", "http", "ftplib", "smtplib",
          "webbrowser", "sqlite3", "syslog", "winreg")
HARMLESS = ("os.listdir", "os.scandir", "os.walk", "os.putenv", "os.unsetenv", "os.fwalk",
            "os.listxattr", "os.getxattr", "os.add_dll_directory", "os.chdir", "os.fork",
            "os.forkpty", "os.kill")

def watch(event, arguments):
    room = event.partition(".")[0]
    writing = event == "open" and arguments[2] & WRITING and not isinstance(arguments[0], int)
    nothing = event == "os.mkdir" and os.path.isdir(arguments[0])  # will say that it exists
    changing = room == "os" and event not in HARMLESS and not nothing
    if writing or changing or room in ACTING:
        named = arguments[:1] if event == "open" else arguments
        paths = [os.fsdecode(a) for a in named if isinstance(a, (str, bytes, os.PathLike))]
        os.write(log, f"{(os.getpid(), event, paths)!r}\\n".encode("utf-8", "backslashreplace"))

sys.addaudithook(watch)
"""
"""Python tells a hook of every file, folder, process and socket before it is opened (PEP 578);
forked processes keep the hook."""
BUILD = "from almanac.cli import main; main(prog_name='almanac')"
SPY = """
import socket
from almanac.workers import each

def work(name):
    open(name, "w").close()
    socket.socket().close()

list(each(work, sys.argv[1:], 2))
"""
UNIX = pytest.mark.skipif(sys.platform == "win32", reason="processes are not forked")


class Event(NamedTuple):
    """What Python was about to do."""

    process: int
    name: str
    paths: list[str]


Watched = Callable[..., list[Event]]


@pytest.fixture
def watched(root: Path, tmp_path: Path) -> Watched:
    """Run Python code under watch, and give back what it wrote, changed, started or asked."""

    def run(code: str, *arguments: str | Path) -> list[Event]:
        log = tmp_path / "log"
        log.write_bytes(b"")
        subprocess.run(
            [sys.executable, "-B", "-c", WATCH + code, str(log), *map(str, arguments)],
            cwd=root,
            env={**os.environ, "PYTHONPATH": str(root)},
            check=True,
            timeout=300,
        )
        lines = log.read_text(encoding="utf-8").splitlines()
        return [Event(*ast.literal_eval(line)) for line in lines]

    return run


def astray(events: list[Event], site: Path) -> list[Event]:
    """What was not done to the site's folder or to its helpers beside it."""
    ours = [str(site), *(str(site.with_name(f".{site.name}.{kind}")) for kind in ("new", "lock"))]

    def inside(path: str) -> bool:
        path = os.path.abspath(path)
        return any(path == own or path.startswith(f"{own}{os.sep}") for own in ours)

    return [event for event in events if not event.paths or not all(map(inside, event.paths))]


@UNIX
def test_a_build_writes_in_its_folder_and_opens_no_socket(
    watched: Watched, quarry_config: Path, quarry_site: Path, tmp_path: Path
) -> None:
    """By several processes, over an old site of which half has changed and a part goes: every
    write, folder, link, rename and removal is in its own place; no process of others is started
    and no host asked."""
    site = Path(shutil.copytree(quarry_site, tmp_path / "out" / "site"))
    for page in sorted(site.rglob("*.html"))[::2]:
        page.write_text("old", encoding="utf-8")
    events = watched(BUILD, "build", quarry_config, "--no-booklet", "--jobs", "2", "--out", site)
    assert astray(events, site) == []
    assert len({event.process for event in events}) == 3
    assert {"open", "os.mkdir", "os.link", "os.remove"} <= {event.name for event in events}
    assert len({path for event in events for path in event.paths}) > 400
    assert os.listdir(site.parent) == ["site"]


@UNIX
def test_a_write_or_a_socket_elsewhere_is_noticed(watched: Watched, tmp_path: Path) -> None:
    """In a process that shares the work too."""
    found = astray(watched(SPY, tmp_path / "one", tmp_path / "two"), tmp_path / "site")
    assert {event.name for event in found} >= {"open", "socket.__new__"}
    paths = {path for event in found for path in event.paths}
    assert {str(tmp_path / "one"), str(tmp_path / "two")} <= paths
