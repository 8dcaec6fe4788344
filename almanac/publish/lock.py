"""A lock file that keeps two builds of one folder apart and outlives no killed build for long."""

import os
import time
from contextlib import suppress
from pathlib import Path

from almanac.errors import OutputError

PID_WAIT_S = 1.0
"""How long a lock may stand empty before its maker is taken for dead."""


def take(lock: Path, owner: int, anew: bool = False) -> None:
    """Have the lock file name the process ``owner``, or raise OutputError if another holds it.

    Processes that work for one owner may each take it. ``anew`` takes over a lock that names the
    owner already: it is of a process long dead that had the same number.
    """
    try:
        _make(lock, owner)
    except FileExistsError:
        pid = _read_pid(lock)
        if pid == owner and not anew:
            return
        if pid != owner and _is_alive(pid):
            raise OutputError(
                f"Another build is publishing there. If none is running, remove {lock}."
            ) from None
        lock.unlink(missing_ok=True)
        _make(lock, owner)


def _make(lock: Path, owner: int) -> None:
    """Make the lock file, or leave none; FileExistsError if there is one."""
    handle = os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY)
    try:
        with open(handle, "w", encoding="ascii") as file:  # a full disk may take a part of a number
            file.write(f"{owner}\n")
    except BaseException:
        release(lock)
        raise


def held(lock: Path, owner: int) -> bool:
    """Whether the lock names this process."""
    return lock.exists() and _read_pid(lock) == owner


def release(lock: Path) -> None:
    """Take the lock away."""
    lock.unlink(missing_ok=True)


def _is_alive(pid: int | None) -> bool:
    """Whether there is a process of this number.

    Where a process cannot be asked for without harm (Windows) a lock counts as held.
    """
    if os.name == "nt":
        return True
    if pid is None:
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
