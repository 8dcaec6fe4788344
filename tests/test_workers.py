"""Shared work keeps its order, and no process outlives the one that needs it."""

import multiprocessing
import os
import subprocess
import sys
import time
from concurrent.futures import process
from contextlib import closing
from pathlib import Path

import pytest

from almanac.workers import beside, each, forks

ORPHANS = """
import sys, time
from pathlib import Path
from almanac.workers import each

def work(name):
    while True:
        Path(sys.argv[1], name).touch()
        time.sleep(0.01)

if __name__ == "__main__":
    print(*each(work, ["a", "b"], 2))
"""


@pytest.mark.parametrize("jobs", [1, 2, 5])
def test_results_come_in_the_order_of_the_tasks(jobs: int) -> None:
    """Whoever finishes first; a single task and none are fine."""
    assert list(each(abs, [-3, 2, -1, 0], jobs)) == [3, 2, 1, 0]
    assert list(each(abs, [-3], jobs)) == [3]
    assert list(each(abs, [], jobs)) == []


@pytest.mark.skipif(not forks(), reason="processes are not forked")
def test_a_stop_amid_the_start_leaves_no_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """They are there, but nobody yet who would send them home; soon they go by themselves."""

    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(process._ExecutorManagerThread, "__init__", stopped)
        with pytest.raises(KeyboardInterrupt):
            list(each(abs, [1, 2], 2))
    children = multiprocessing.active_children()
    assert len(children) == 2
    for child in children:
        child.join(20)
        assert child.exitcode == 1


def nap(seconds: float) -> float:
    """Sleep so long; fail at once if it is a negative time."""
    time.sleep(seconds)
    return seconds


def test_a_failure_or_an_end_stops_the_others_at_once(capfd: pytest.CaptureFixture[str]) -> None:
    """Nobody waits for what is running, no other task begins, and nothing is printed."""
    started = time.monotonic()
    with pytest.raises(ValueError, match="non-negative"):
        list(each(nap, [0.0, -1.0, *[60.0] * 9], 3))
    with closing(each(nap, [0.0, *[60.0] * 9], 3)) as work:
        assert next(work) == 0.0
    assert time.monotonic() - started < 30
    assert capfd.readouterr() == ("", "")


def test_work_beside_is_done_by_another_process() -> None:
    """Where it can be and may; an error there is raised by who asks for the result."""
    for jobs, here in ((1, True), (2, not forks())):
        with beside(os.getpid, jobs) as found:
            assert (found() == os.getpid()) == here
        with pytest.raises(ValueError, match="non-negative"), beside(lambda: nap(-1), jobs) as left:
            left()


def test_work_beside_ends_with_what_it_is_for() -> None:
    """Nobody waits for the result of a build that has failed."""
    started = time.monotonic()
    with pytest.raises(KeyError), beside(lambda: nap(60), 2):
        raise KeyError
    assert time.monotonic() - started < 30


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL")
def test_workers_end_with_their_parent(root: Path, tmp_path: Path) -> None:
    """A build that is killed writes nothing more, not even by the processes it had started."""
    script = tmp_path / "orphans.py"
    script.write_text(ORPHANS)
    marks = [tmp_path / "a", tmp_path / "b"]
    parent = subprocess.Popen(
        [sys.executable, script, tmp_path], env={**os.environ, "PYTHONPATH": str(root)}
    )
    until = time.monotonic() + 20
    while not all(mark.exists() for mark in marks) and time.monotonic() < until:
        time.sleep(0.02)
    parent.kill()
    parent.wait()
    time.sleep(0.5)
    before = [mark.stat().st_mtime_ns for mark in marks]
    time.sleep(0.3)
    assert [mark.stat().st_mtime_ns for mark in marks] == before
