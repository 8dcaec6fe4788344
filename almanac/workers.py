"""Work shared among processes that end with the process that needs it."""

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import parent_process
from threading import Thread
from typing import TypeVar

from almanac.errors import AlmanacError

Task = TypeVar("Task")
Result = TypeVar("Result")


class WorkerError(AlmanacError):
    """A process that shared the work was ended from outside."""


def each(work: Callable[[Task], Result], tasks: Sequence[Task], jobs: int) -> Iterator[Result]:
    """Work done for every task, in order, on up to jobs processes.

    An error in one of them is raised here after the running tasks have ended, and no other begins.
    Raises WorkerError if a process is killed.
    """
    if min(jobs, len(tasks)) < 2:
        yield from map(work, tasks)
        return
    try:
        with ProcessPoolExecutor(min(jobs, len(tasks)), initializer=end_with_parent) as pool:
            yield from pool.map(work, tasks)
    except BrokenProcessPool as error:
        raise WorkerError(
            "A process that shared the work was killed, perhaps for want of memory; "
            "fewer processes (--jobs) need less."
        ) from error


def end_with_parent() -> None:
    """Let this process end as soon as its parent does: it must not write on after a kill."""
    Thread(target=_wait_and_end, daemon=True).start()


def _wait_and_end() -> None:
    parent = parent_process()
    if parent:
        parent.join()
        os._exit(1)
