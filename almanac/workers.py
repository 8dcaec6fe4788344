"""Work shared among processes that end with the process that needs it."""

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_start_method, parent_process
from threading import Thread
from typing import Any, TypeVar

from almanac.errors import AlmanacError

Task = TypeVar("Task")
Result = TypeVar("Result")


class WorkerError(AlmanacError):
    """A process that shared the work was ended from outside."""


def forks() -> bool:
    """Whether new processes begin as copies of this one, with all that it holds."""
    return get_start_method() == "fork"


def each(work: Callable[[Task], Result], tasks: Sequence[Task], jobs: int) -> Iterator[Result]:
    """Work done for every task, in order, on up to jobs processes.

    Where processes are forked, the work needs not be picklable; tasks and results do. An error in
    one of them is raised here after the running tasks have ended, and no other begins. Raises
    WorkerError if a process is killed.
    """
    jobs = min(jobs, len(tasks))
    if jobs < 2:
        yield from map(work, tasks)
        return
    try:
        with ProcessPoolExecutor(jobs, initializer=_begin, initargs=(work,)) as pool:
            yield from pool.map(_done, tasks)
    except BrokenProcessPool as error:
        raise WorkerError(
            "A process that shared the work was killed, perhaps for want of memory; "
            "fewer processes (--jobs) need less."
        ) from error


_WORK: list[Callable[[Any], Any]] = []
"""What this process was started for."""


def _begin(work: Callable[[Any], Any]) -> None:
    """Learn the work; end as soon as the parent does, for nothing may be written after a kill."""
    _WORK[:] = [work]
    Thread(target=_wait_and_end, daemon=True).start()


def _done(task: Any) -> Any:
    return _WORK[0](task)


def _wait_and_end() -> None:
    parent = parent_process()
    if parent:
        parent.join()
        os._exit(1)
