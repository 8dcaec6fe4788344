"""Work shared among processes that end with the process that needs it."""

import os
import signal
from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import Pipe, get_start_method, parent_process
from multiprocessing.connection import Connection, wait
from threading import Lock, Thread
from typing import Any, TypeVar

from almanac.errors import AlmanacError

Task = TypeVar("Task")
Result = TypeVar("Result")


class WorkerError(AlmanacError):
    """A process that shared the work was ended from outside."""


def forks() -> bool:
    """Whether new processes begin as copies of this one, with all that it holds."""
    return get_start_method() == "fork"


def each(
    work: Callable[[Task], Result], tasks: Sequence[Task], jobs: int
) -> Generator[Result, None, None]:
    """Work done for every task, in order, on up to jobs processes.

    Where processes are forked, the work needs not be picklable; tasks and results do. An error in
    one of them, a stop from outside, or the end of the generator ends the others at once: close it
    (contextlib.closing) before what they write in is taken away. WorkerError if one is killed.
    """
    jobs = min(jobs, len(tasks))
    if jobs < 2:
        yield from map(work, tasks)
        return
    with _pool(work, jobs) as pool:
        ahead = deque(pool.submit(_done, task) for task in tasks)
        while ahead:
            yield ahead.popleft().result()


@contextmanager
def beside(work: Callable[[], Result], jobs: int) -> Iterator[Callable[[], Result]]:
    """Work begun in a process beside this one; what is given back waits for its result.

    With one job, or where processes are not forked, the work is done by who asks for the result.
    Otherwise as in ``each``.
    """
    if jobs < 2 or not forks():
        yield work
        return
    with _pool(lambda _: work(), 1) as pool:
        yield pool.submit(_done, None).result


@contextmanager
def _pool(work: Callable[[Task], Any], jobs: int) -> Iterator[ProcessPoolExecutor]:
    """Processes that end at once with the block, if it is left by an error or a stop."""
    stopped, stop = Pipe(duplex=False)
    try:
        with (
            stopped,
            stop,
            ProcessPoolExecutor(jobs, initializer=_begin, initargs=(work, stopped)) as pool,
        ):
            try:
                yield pool
            except BaseException:
                stop.send_bytes(b"stop")
                raise
    except BrokenProcessPool as error:
        raise WorkerError(
            "A process that shared the work was killed, perhaps for want of memory; "
            "fewer processes (--jobs) need less"
        ) from error


_WORK: list[Callable[[Any], Any]] = []
"""What this process was started for."""


_BETWEEN = Lock()
"""Held by this process while it does not work: a result must not be cut short on its way."""
LONGEST_SEND_S = 2.0
"""How long a result on its way is waited for; a worker that was stopped amid the start of the pool
is at rest for ever, for nobody is there to send it home."""


def _begin(work: Callable[[Any], Any], stopped: Connection) -> None:
    """Learn the work; end as soon as the parent does, for nothing may be written after a kill.

    A stop from the terminal is the parent's to tell, a request to end is obeyed.
    """
    for number in (signal.SIGINT, getattr(signal, "SIGHUP", signal.SIGINT)):
        signal.signal(number, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    _WORK[:] = [work]
    _BETWEEN.acquire()
    Thread(target=_wait_and_end, args=(stopped,), daemon=True).start()


def _done(task: Any) -> Any:
    _BETWEEN.release()
    try:
        return _WORK[0](task)
    finally:
        _BETWEEN.acquire()


def _wait_and_end(stopped: Connection) -> None:
    parent = parent_process()
    if parent and parent.sentinel not in wait([parent.sentinel, stopped]):
        _BETWEEN.acquire(timeout=LONGEST_SEND_S)
    os._exit(1)
