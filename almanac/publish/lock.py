"""A lock file that keeps two builds of one folder apart and outlives no killed build for long."""

import os
import platform
import time
from pathlib import Path
from typing import NamedTuple

from almanac.errors import OutputError

WAIT_S = 1.0
"""How long a lock may stand unfinished before its maker is taken for dead."""
SILENT_S = 3600.0
"""Age from which a lock of another machine is taken for a dead build's; a build renews its lock
with each part that it writes."""


class Holder(NamedTuple):
    """Whom a lock names."""

    pid: int
    host: str
    """Name of its machine: on a disk that two of them share, a number alone tells nothing."""

    @classmethod
    def here(cls, pid: int) -> "Holder":
        """A process of this machine."""
        return cls(pid, platform.node())


def take(lock: Path, owner: int, anew: bool = False) -> None:
    """Have the lock file name the process ``owner``, or raise OutputError if another holds it.

    Processes that work for one owner may each take it. ``anew`` takes over a lock that names the
    owner already: it is of a process long dead that had the same number.
    """
    try:
        _make(lock, owner)
    except FileExistsError:
        holder = _read(lock)
        mine = holder == Holder.here(owner)
        if mine and not anew:
            os.utime(lock)
            return
        if holder and not mine and _is_at_work(holder, lock):
            raise OutputError(
                f"Another build is publishing there (process {holder.pid} of {holder.host}). "
                f"If none is running, remove {lock}."
            ) from None
        lock.unlink(missing_ok=True)
        _make(lock, owner)


def _make(lock: Path, owner: int) -> None:
    """Make the lock file, or leave none; FileExistsError if there is one."""
    handle = os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY)
    try:
        with open(handle, "w", encoding="utf-8") as file:  # a full disk may take a part of it
            file.write("{} {}\n".format(*Holder.here(owner)))
    except BaseException:
        release(lock)
        raise


def held(lock: Path, owner: int) -> bool:
    """Whether the lock names this process."""
    return lock.exists() and _read(lock) == Holder.here(owner)


def release(lock: Path) -> None:
    """Take the lock away."""
    lock.unlink(missing_ok=True)


def _is_at_work(holder: Holder, lock: Path) -> bool:
    """Whether the process that a lock names may still be there.

    Where it cannot be asked for without harm (Windows) it is taken to be. On another machine it
    cannot be asked for at all, and a container that was killed comes back under another name.
    """
    if holder.host != platform.node():
        return time.time() - lock.stat().st_mtime < SILENT_S
    return os.name == "nt" or _is_alive(holder.pid)


def _is_alive(pid: int) -> bool:
    """Whether there is a process of this number."""
    try:
        os.kill(pid, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True


def _read(lock: Path) -> Holder | None:
    """Whom a lock names; waits a little for one that is just being written."""
    until = time.monotonic() + WAIT_S
    while time.monotonic() < until:
        if holder := _parsed(lock):
            return holder
        time.sleep(0.02)
    return None


def _parsed(lock: Path) -> Holder | None:
    """Whom a lock names; None if it is missing or its line is not whole."""
    try:
        pid, host = lock.read_text(encoding="utf-8").split(" ", maxsplit=1)
        return Holder(int(pid), host[:-1]) if host.endswith("\n") else None
    except (ValueError, FileNotFoundError):
        return None
