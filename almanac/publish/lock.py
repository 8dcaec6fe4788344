"""A lock file that keeps two builds of one folder apart and outlives no killed build for long."""

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from almanac.errors import OutputError

PID_WAIT_S = 1.0
"""How long a lock may stand empty before its maker is taken for dead."""


@contextmanager
def locked(lock: Path) -> Iterator[None]:
    """Hold the lock file, which names this process, or raise OutputError if another build does."""
    _take(lock)
    try:
        yield
    finally:
        lock.unlink(missing_ok=True)


def _take(lock: Path) -> None:
    try:
        handle = os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY)
    except FileExistsError:
        if _is_held(lock):
            raise OutputError(
                f"Another build is publishing there. If none is running, remove {lock}."
            ) from None
        lock.unlink(missing_ok=True)
        handle = os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY)
    os.write(handle, f"{os.getpid()}\n".encode("ascii"))
    os.close(handle)


def _is_held(lock: Path) -> bool:
    """Whether the process that a lock names is alive and another than this one.

    Where a process cannot be asked for without harm (Windows) a lock counts as held.
    """
    pid = _read_pid(lock)
    if os.name == "nt":
        return True
    if pid is None or pid == os.getpid():
        return False
    try:
        os.kill(pid, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True


def _read_pid(lock: Path) -> int | None:
    """The process number in a lock; waits a little for one that is just being written."""
    until = time.monotonic() + PID_WAIT_S
    while time.monotonic() < until:
        with suppress(ValueError, FileNotFoundError):
            return int(lock.read_text(encoding="ascii"))
        time.sleep(0.02)
    return None
