"""The guarded, atomic write of a whole site into one folder.

A site is written beside its folder and then swapped in, so that a failure at any moment leaves
the old site whole. A marker file inside lists the files that are ours, with their SHA-256; only
those are ever replaced or removed. A file that is not ours is never carried into the new site
and never deleted: publishing stops and names it, since only its owner can tell whether it
belongs on the web.
"""

import ctypes
import hashlib
import json
import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from almanac.errors import OutputError
from almanac.publish.lock import locked

MARKER = ".almanac-files.json"
MARKER_PART = MARKER + ".part"
"""The marker while it is being written."""
UNSAFE = frozenset('\\:*?"<>|') | {chr(code) for code in (*range(32), 127)}
"""Characters that some file system refuses or reads as a path."""
LISTED = 5
"""Names shown in a message before it says how many more."""

Hashes = dict[str, str]


@dataclass(frozen=True)
class Published:
    """How many files a publication wrote (new or changed), left alone and took away."""

    written: int
    unchanged: int
    removed: int


@dataclass(frozen=True)
class _Place:
    """The site's folder and its helpers beside it, on the same file system."""

    folder: Path
    new: Path
    """The site while it is being written; after an exchange, the old one."""
    old: Path
    """The old site, where two folders cannot be exchanged in one step."""
    lock: Path

    @classmethod
    def of(cls, folder: Path) -> "_Place":
        folder = Path(os.path.abspath(folder))
        if not folder.name:
            raise OutputError(f"Output folder {folder}: the root of a disk is not a site's folder.")
        beside = [folder.with_name(f".{folder.name}.{kind}") for kind in ("new", "old", "lock")]
        return cls(folder, *beside)

    def left_over(self) -> bool:
        """Whether a build is running or one was killed."""
        return any(os.path.lexists(path) for path in (self.new, self.old, self.lock))


def publish(files: Mapping[str, str | bytes], folder: Path) -> Published:
    """Make the folder hold exactly these files, all or nothing.

    Keys are relative POSIX paths; text is written as UTF-8 with its newlines as they are. A
    folder that already holds just these files is not touched. Raises OutputError, with the old
    site left as it was, if a path leads outside, the folder is not ours or holds a file that is
    not ours, another build is publishing there, or the system refuses.
    """
    contents = _checked(files)
    hashes = {name: hashlib.sha256(content).hexdigest() for name, content in contents.items()}
    place = _Place.of(folder)
    try:
        if not place.left_over() and _holds(place.folder, hashes, _inspect(place.folder)):
            return Published(written=0, unchanged=len(hashes), removed=0)
        place.folder.parent.mkdir(parents=True, exist_ok=True)
        with locked(place.lock):
            _recover(place)
            return _update(place, contents, hashes)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        where = f" ({error.filename})" if error.filename else ""
        raise OutputError(
            f"Output folder {folder}: {reason}{where}. The site there is as it was."
        ) from error


# Paths and contents


def _checked(files: Mapping[str, str | bytes]) -> dict[str, bytes]:
    """The contents as bytes by path, in order of path, every path proven harmless."""
    if not files:
        raise OutputError("There is nothing to publish.")
    folded: dict[str, str] = {}
    for name in files:
        if not _is_safe(name):
            raise OutputError(f"Output file {name!r}: not a plain relative path.")
        twin = folded.setdefault(name.casefold(), name)
        if twin != name:
            raise OutputError(f"Output files {twin!r} and {name!r} differ only in case.")
    for name in files:
        for parent in PurePosixPath(name).parents:
            if str(parent).casefold() in folded:
                raise OutputError(f"Output file {str(parent)!r} is also a folder of {name!r}.")
    return {name: _bytes(name, files[name]) for name in sorted(files)}


def _is_safe(name: str) -> bool:
    """Whether a relative path stays inside the folder and is a name on every system."""
    parts = name.split("/")
    return (
        not UNSAFE & set(name)
        and all(part and part == part.strip(" ").rstrip(". ") for part in parts)
        and parts[0].casefold() not in (MARKER, MARKER_PART)
    )


def _bytes(name: str, content: str | bytes) -> bytes:
    if isinstance(content, bytes):
        return content
    try:
        return content.encode("utf-8")
    except UnicodeEncodeError as error:
        raise OutputError(f"Output file {name!r}: text that UTF-8 cannot hold.") from error


# What is there


def _holds(folder: Path, hashes: Hashes, found: Hashes) -> bool:
    """Whether the files found in the folder, and its marker, are just these."""
    return found == hashes and (folder / MARKER).read_bytes() == _marker(hashes)


def _inspect(folder: Path) -> Hashes:
    """Hashes of the files of ours in the folder; none if it is missing or empty.

    Raises OutputError if the folder is a link, a file, not ours, or holds what is not ours.
    """
    if folder.is_symlink():
        raise OutputError(f"Output folder {folder} is a link; give the folder itself.")
    if not folder.exists():
        return {}
    if not folder.is_dir():
        raise OutputError(f"Output folder {folder} is a file.")
    found = set(_walk(folder))
    if strangers := sorted(found - _listed(folder, found)):
        more = f" and {len(strangers) - LISTED} more" if len(strangers) > LISTED else ""
        raise OutputError(
            f"Output folder {folder} holds files that this program did not publish: "
            f"{', '.join(strangers[:LISTED])}{more}. Move them away or choose another folder."
        )
    ours = sorted(found - {MARKER, MARKER_PART})
    return {name: hashlib.sha256((folder / name).read_bytes()).hexdigest() for name in ours}


def _walk(folder: Path, inside: str = "") -> Iterator[str]:
    """Paths of everything below the folder that is not a folder; links are not followed."""
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir(follow_symlinks=False):
                yield from _walk(Path(entry.path), f"{inside}{entry.name}/")
            else:
                yield f"{inside}{entry.name}"


def _listed(folder: Path, found: set[str]) -> set[str]:
    """The paths of found that are ours by the folder's marker and are regular files."""
    if MARKER not in found or (folder / MARKER).is_symlink():
        return found & {MARKER_PART}
    try:
        names = set(json.loads((folder / MARKER).read_bytes())["files"])
    except (ValueError, KeyError, TypeError):
        return set()
    ours = {n for n in found & names if (folder / n).is_file() and not (folder / n).is_symlink()}
    return ours | found & {MARKER, MARKER_PART}


# The write


def _update(place: _Place, contents: Mapping[str, bytes], hashes: Hashes) -> Published:
    """Replace the site if it differs, and count."""
    before = _inspect(place.folder)
    kept = {name for name, digest in hashes.items() if before.get(name) == digest}
    if not _holds(place.folder, hashes, before):
        _replace(place, contents, kept, _marker(hashes))
    return Published(
        written=len(contents) - len(kept),
        unchanged=len(kept),
        removed=len(before.keys() - hashes.keys()),
    )


def _replace(place: _Place, contents: Mapping[str, bytes], kept: set[str], marker: bytes) -> None:
    """Write the site beside the folder, swap it in and take the old one away."""
    try:
        _write_beside(place, contents, kept, marker)
        _swap(place)
    except BaseException:
        with suppress(OSError):
            _remove(place.new)
        raise
    with suppress(OSError, OutputError):  # the new site stands; the next build tidies up
        _remove(place.new)
        _remove(place.old)


def _write_beside(
    place: _Place, contents: Mapping[str, bytes], kept: set[str], marker: bytes
) -> None:
    """Write the new site; its marker comes first, so that a half-made one is known as ours."""
    place.new.mkdir()
    (place.new / MARKER_PART).write_bytes(marker)
    (place.new / MARKER_PART).replace(place.new / MARKER)
    for name, content in contents.items():
        target = place.new / name
        target.parent.mkdir(parents=True, exist_ok=True)
        if name in kept:
            _keep(place.folder / name, target)
        else:
            target.write_bytes(content)


def _keep(source: Path, target: Path) -> None:
    """Give an unchanged file its second name, or a copy where the file system has no links."""
    try:
        os.link(source, target)
    except OSError:
        shutil.copy2(source, target)


def _marker(hashes: Hashes) -> bytes:
    return (json.dumps({"files": hashes}, indent=0, sort_keys=True) + "\n").encode("utf-8")


def _swap(place: _Place) -> None:
    """Put the new site in the folder's place; on failure the old one stands there again."""
    if place.folder.exists():
        shutil.copymode(place.folder, place.new)
        if _exchange(place.new, place.folder):
            return
    try:
        if place.folder.exists():
            place.folder.rename(place.old)
        place.new.rename(place.folder)
    except BaseException:
        if place.old.exists() and not place.folder.exists():
            place.old.rename(place.folder)
        raise


def _exchange(first: Path, second: Path) -> bool:
    """Swap two folders in one step, and tell whether it was done.

    Linux renameat2(2) with RENAME_EXCHANGE = 2 and AT_FDCWD = -100 (linux/fs.h, linux/fcntl.h).
    Elsewhere the folder is missing for an instant between two renames.
    """
    try:
        rename = ctypes.CDLL(None).renameat2
    except (AttributeError, OSError, TypeError):
        return False
    return bool(rename(-100, os.fsencode(first), -100, os.fsencode(second), 2) == 0)


def _recover(place: _Place) -> None:
    """Undo what a killed build left: put the old site back if need be, remove the half-made."""
    if place.old.exists() and not place.folder.exists():
        place.old.rename(place.folder)
    _remove(place.new)
    _remove(place.old)


def _remove(folder: Path) -> None:
    """Remove a folder of ours, its marker last; OutputError if it holds what is not ours."""
    for name in _inspect(folder):
        (folder / name).unlink()
    if folder.exists():
        for path, _, _ in os.walk(folder, topdown=False):
            if Path(path) != folder:
                os.rmdir(path)
        for name in (MARKER_PART, MARKER):
            (folder / name).unlink(missing_ok=True)
        folder.rmdir()
