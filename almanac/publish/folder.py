"""A site's folder and its helpers beside it: which files in them are ours, the swap, the removal.

A marker file inside a site lists the files that are ours, with their SHA-256. While a site is
being written a journal stands in it, to which the paths of files are added before they are made,
so that what a killed build left is known as ours too. Only files so listed are ever removed.
"""

import ctypes
import errno
import json
import os
import shutil
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from almanac.errors import OutputError

MARKER = ".almanac-files.json"
JOURNAL = MARKER + ".part"
"""Paths of the files of a site while it is being written, one a line."""
LISTED = 5
"""Names shown in a message before it says how many more."""


class Place(NamedTuple):
    """The site's folder and its helpers beside it, on the same file system."""

    folder: Path
    new: Path
    """The site while it is being written; after an exchange, the old one."""
    old: Path
    """The old site, where two folders cannot be exchanged in one step."""
    lock: Path

    @classmethod
    def of(cls, folder: Path) -> "Place":
        """The place of a folder; OutputError for the root of a disk, which cannot be swapped."""
        folder = Path(os.path.abspath(folder))
        if not folder.name:
            raise OutputError(f"Output folder {folder}: the root of a disk is not a site's folder.")
        if os.path.ismount(folder):
            raise OutputError(
                f"Output folder {folder}: a disk is mounted here; add a folder in it."
            )
        beside = [folder.with_name(f".{folder.name}.{kind}") for kind in ("new", "old", "lock")]
        return cls(folder, *beside)

    def left_over(self) -> bool:
        """Whether a build is running or one was killed."""
        return any(os.path.lexists(path) for path in (self.new, self.old, self.lock))

    def set_aside(self) -> bool:
        """Whether the old site could neither be replaced nor put back."""
        return self.old.exists() and not self.folder.exists()


def ours(folder: Path) -> set[str]:
    """Paths of the site's files in the folder; none if it is missing or empty.

    Raises OutputError if the folder is a link, a file, not ours, or holds what is not ours.
    """
    if folder.is_symlink():
        raise OutputError(f"Output folder {folder} is a link; give the folder itself.")
    if not folder.exists():
        return set()
    if not folder.is_dir():
        raise OutputError(f"Output folder {folder} is a file.")
    found = set(_walk(folder))
    if strangers := sorted(found - _listed(folder, found)):
        more = f" and {len(strangers) - LISTED} more" if len(strangers) > LISTED else ""
        raise OutputError(
            f"Output folder {folder} holds files that this program did not publish: "
            f"{', '.join(strangers[:LISTED])}{more}. Move them away or choose another folder."
        )
    return found - {MARKER, JOURNAL}


def _walk(folder: Path, inside: str = "") -> Iterator[str]:
    """Paths of everything below the folder that is not a folder; links are not followed."""
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir(follow_symlinks=False):
                yield from _walk(Path(entry.path), f"{inside}{entry.name}/")
            else:
                yield f"{inside}{entry.name}"


def _listed(folder: Path, found: set[str]) -> set[str]:
    """The paths of found that are ours by the folder's lists and are regular files."""
    names = _marked(folder / MARKER) | _noted(folder / JOURNAL)
    top = os.fspath(folder)
    return {name for name in found & names if _is_regular(f"{top}/{name}")}


def _marked(marker: Path) -> set[str]:
    """What a marker lists, itself included; nothing if it is none or a link."""
    if not _is_regular(marker):
        return set()
    try:
        return {MARKER, *json.loads(marker.read_bytes())["files"]}
    except (ValueError, KeyError, TypeError):
        return set()


def _noted(journal: Path) -> set[str]:
    """What a journal lists, itself and the marker included; nothing if it is none or a link."""
    if not _is_regular(journal):
        return set()
    return {MARKER, JOURNAL, *journal.read_text("utf-8", errors="replace").splitlines()}


def _is_regular(path: str | Path) -> bool:
    return os.path.isfile(path) and not os.path.islink(path)


def note(folder: Path, names: Iterable[str]) -> None:
    """Add paths to the folder's journal, in one write that other processes cannot split.

    It begins with a line's end too, so that a line which a kill cut short spoils no other.
    """
    lines = "\n".join(["", *names, ""]).encode("utf-8")
    with (folder / JOURNAL).open("ab", buffering=0) as journal:
        if journal.write(lines) < len(lines):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), journal.name)


def seal(folder: Path, hashes: Mapping[str, str]) -> None:
    """Put the marker in the journal's place: the site is whole."""
    (folder / MARKER).write_bytes(marker(hashes))
    (folder / JOURNAL).unlink()


def marker(hashes: Mapping[str, str]) -> bytes:
    """The text of the marker of a site with these files, given in order of path."""
    rows = ",\n".join(
        f"{json.dumps(name)}: {json.dumps(digest)}" for name, digest in hashes.items()
    )
    return f'{{\n"files": {{\n{rows}\n}}\n}}\n'.encode()


def settle(folder: Path) -> None:
    """Have the disk hold what was written, lest a power cut after the swap leave empty files.

    One syncfs(2) for all: 45 ms for a site-year of 683 files, where fsync of each took 600 and
    more. Since Linux 5.8 it also raises what the disk refused after a write had seemed to succeed.
    It waits for other programs' files on that disk too. Elsewhere sync(2), which need only begin
    the writing (POSIX.1-2017, System Interfaces, sync); Windows offers neither. Where there is no
    such folder nothing was written.
    """
    if not folder.exists():
        return
    try:
        sync = ctypes.CDLL(None, use_errno=True).syncfs
    except (AttributeError, OSError, TypeError):
        getattr(os, "sync", lambda: None)()
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        if sync(handle):
            raise OSError(ctypes.get_errno(), os.strerror(ctypes.get_errno()), str(folder))
    finally:
        os.close(handle)


def swap(place: Place) -> None:
    """Put the new site in the folder's place; on failure the old one stands there again."""
    if place.folder.exists():
        shutil.copymode(place.folder, place.new)
        if exchange(place.new, place.folder):
            return
    try:
        if place.folder.exists():
            place.folder.rename(place.old)
        place.new.rename(place.folder)
    except BaseException:
        _put_back(place)
        raise


def exchange(first: Path, second: Path) -> bool:
    """Swap two folders in one step, and tell whether it was done.

    Linux renameat2(2) with RENAME_EXCHANGE = 2 and AT_FDCWD = -100 (linux/fs.h, linux/fcntl.h).
    Elsewhere the folder is missing for an instant between two renames.
    """
    try:
        rename = ctypes.CDLL(None).renameat2
    except (AttributeError, OSError, TypeError):
        return False
    return bool(rename(-100, os.fsencode(first), -100, os.fsencode(second), 2) == 0)


def recover(place: Place) -> None:
    """Undo what a broken build left: put the old site back if need be, remove the half-made."""
    _put_back(place)
    remove(place.new)
    remove(place.old)


def _put_back(place: Place) -> None:
    if place.set_aside():
        place.old.rename(place.folder)


def remove(folder: Path) -> None:
    """Remove a folder of ours, its lists last; OutputError if it holds what is not ours."""
    for name in ours(folder):
        (folder / name).unlink()
    if folder.exists():
        for path, _, _ in os.walk(folder, topdown=False):
            if Path(path) != folder:
                os.rmdir(path)
        for name in (JOURNAL, MARKER):
            (folder / name).unlink(missing_ok=True)
        folder.rmdir()
