"""The guarded, atomic write of a whole site into one folder, part by part, by many processes.

Each part is compared with the site that stands there, and only what differs is written beside
it; in the end the unchanged files join by a second name and the two folders are swapped. So a
failure at any moment leaves the old site whole, and a build that changes nothing writes nothing.
A file that is not ours is never carried into the new site and never deleted: publishing stops
and names it, since only its owner can tell whether it belongs on the web.
"""

import hashlib
import os
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from itertools import pairwise
from pathlib import Path, PurePosixPath

from msgspec import Struct

from almanac.errors import OutputError
from almanac.publish.folder import (
    JOURNAL,
    MARKER,
    Place,
    marker,
    note,
    ours,
    recover,
    seal,
    settle,
    swap,
)
from almanac.publish.lock import held, release, take

UNSAFE = frozenset('\\:*?"<>|')
"""Characters that some file system refuses or reads as a path, besides those not printable."""

Hashes = dict[str, str]
Identity = tuple[int, int] | None
"""Number on its disk of a site's folder, and when it was sealed; None where there is none."""


class Published(Struct, frozen=True):
    """How many files a publication wrote (new or changed), left alone and took away."""

    written: int
    unchanged: int
    removed: int


class Part(Struct, frozen=True):
    """Files of a site that have been put in their place."""

    hashes: Hashes
    """SHA-256 by path."""
    sizes: dict[str, int]
    """Bytes by path."""
    written: frozenset[str]
    """Paths of those that differ from what the old site has."""

    @classmethod
    def of(cls, parts: Iterable["Part"]) -> "Part":
        """Several as one."""
        hashes: Hashes = {}
        sizes: dict[str, int] = {}
        written: set[str] = set()
        for part in parts:
            hashes |= part.hashes
            sizes |= part.sizes
            written |= part.written
        return cls(hashes, sizes, frozenset(written))


@contextmanager
def publishing(folder: Path) -> Iterator["Publication"]:
    """Begin to publish into a folder; what is not finished within is taken away again.

    Raises OutputError, with the old site left as it was, if the folder is not ours or holds a
    file that is not ours, another build is publishing there, or the system refuses. To any other
    error that passes, a note says what became of the site.
    """
    place, owner = Place.of(folder), os.getpid()
    try:
        with _told(place):
            ours(place.folder)
            if place.left_over():
                take(place.lock, owner, anew=True)
                recover(place)
            standing = _identity(place.folder)
        with _noted(place, standing):
            yield Publication(place, owner, standing)
    finally:
        with suppress(OSError, OutputError):  # a site stands; what stays the next build clears
            if held(place.lock, owner):
                with suppress(OSError, OutputError):
                    recover(place)
                release(place.lock)


class Publication(Struct, frozen=True):
    """A site that is being published; copies of it may be used in other processes."""

    place: Place
    owner: int
    """Number of the process that began it and holds the lock."""
    standing: Identity
    """Which site stood there then: another build's would be another."""

    def put(self, files: Mapping[str, str | bytes]) -> Part:
        """Compare a part of the site with what is there, and write what differs beside it.

        Keys are relative POSIX paths; text is written as UTF-8 with its newlines as they are.
        Raises OutputError if a path leads outside or the system refuses.
        """
        _check(files)
        contents = {name: _bytes(name, content) for name, content in files.items()}
        hashes = {name: hashlib.sha256(content).hexdigest() for name, content in contents.items()}
        with _told(self.place):
            changed = [name for name in contents if not self._has(name, contents[name])]
            if changed:
                self._open()
                note(self.place.new, changed)
                self._make_folders(changed)
            for name in changed:
                (self.place.new / name).write_bytes(contents[name])
        sizes = {name: len(content) for name, content in contents.items()}
        return Part(hashes, sizes, frozenset(changed))

    def text(self, name: str) -> str:
        """The text of a file that has been put; OutputError if it cannot be read."""
        new = self.place.new / name
        with _told(self.place):
            return (new if new.exists() else self.place.folder / name).read_bytes().decode()

    def finish(self, parts: Iterable[Part]) -> Published:
        """Make the folder hold exactly the files of these parts, all or nothing, and count.

        What was put before goes to the disk while the rest is made, if the parts are a generator.
        Raises OutputError if paths clash, the folder is not as it was, or the system refuses.
        """
        with ThreadPoolExecutor(1) as beside:
            settled = beside.submit(settle, self.place.new).result
            parts = list(parts)
            hashes = _together(parts)
            written = frozenset[str]().union(*(part.written for part in parts))
            with _told(self.place):
                before = ours(self.place.folder)
                if written or before != hashes.keys() or not self._has(MARKER, marker(hashes)):
                    self._replace(hashes, written, settled)
        return Published(
            written=len(written),
            unchanged=len(hashes) - len(written),
            removed=len(before - hashes.keys()),
        )

    def _has(self, name: str, content: bytes) -> bool:
        """Whether the site that stands there has this file, to the byte."""
        path = f"{self.place.folder}/{name}"
        try:
            if os.path.getsize(path) != len(content):
                return False
            with open(path, "rb") as file:
                return file.read() == content
        except (FileNotFoundError, NotADirectoryError, IsADirectoryError):
            return False

    def _open(self) -> None:
        """Hold the lock and have the folder to write in; whichever process comes first."""
        if self.standing and not os.access(self.place.folder, os.W_OK | os.X_OK):
            raise OutputError(f"Output folder {self.place.folder} may not be written in.")
        self.place.folder.parent.mkdir(parents=True, exist_ok=True)
        take(self.place.lock, self.owner)
        if not self.place.new.is_dir():
            self.place.new.mkdir(exist_ok=True)

    def _make_folders(self, names: Iterable[str]) -> None:
        for inside in sorted({name.rpartition("/")[0] for name in names}):
            (self.place.new / inside).mkdir(parents=True, exist_ok=True)

    def _replace(
        self, hashes: Hashes, written: frozenset[str], settled: Callable[[], None]
    ) -> None:
        """Complete the site beside the folder and swap it in."""
        self._open()
        if _identity(self.place.folder) != self.standing:
            raise OutputError(f"Another build has published in {self.place.folder} meanwhile.")
        kept = [name for name in hashes if name not in written]
        note(self.place.new, kept)
        self._make_folders(kept)
        for name in kept:
            _keep(f"{self.place.folder}/{name}", f"{self.place.new}/{name}")
        seal(self.place.new, hashes)
        if ours(self.place.new) != hashes.keys():
            raise OutputError(f"Files are missing in {self.place.new}.")
        settled()
        settle(self.place.new)
        swap(self.place)


@contextmanager
def _told(place: Place) -> Iterator[None]:
    """Turn what the system refuses into words."""
    try:
        yield
    except OSError as error:
        reason = error.strerror or type(error).__name__
        where = f" ({error.filename})" if error.filename else ""
        raise OutputError(
            f"Output folder {place.folder}: {reason}{where}. The site there is {_kept(place)}."
        ) from error


def _identity(folder: Path) -> Identity:
    """Which site stands in a folder: numbers are used again, hence the time too."""
    if not folder.exists():
        return None
    sealed = folder / MARKER
    return folder.stat().st_ino, sealed.stat().st_mtime_ns if sealed.exists() else 0


@contextmanager
def _noted(place: Place, standing: Identity) -> Iterator[None]:
    """Add to an error that is not ours what now stands in the folder."""
    try:
        yield
    except BaseException as error:
        if not isinstance(error, OutputError):
            error.add_note(_outcome(place, standing))
        raise


def _outcome(place: Place, standing: Identity) -> str:
    if standing is None and not place.folder.exists():
        return f"nothing was published in {place.folder}"
    same = place.set_aside() or _identity(place.folder) == standing
    return f"the site in {place.folder} is {_kept(place) if same else 'the new one, whole'}"


def _kept(place: Place) -> str:
    return f"kept in {place.old}" if place.set_aside() else "as it was"


def _keep(source: str, target: str) -> None:
    """Give an unchanged file its second name, or a copy where the file system has no links."""
    try:
        os.link(source, target)
    except OSError:
        shutil.copy2(source, target)


def _check(names: Iterable[str]) -> None:
    """Raise OutputError for a path that is not plain, or that some system would mix up."""
    folded: dict[str, str] = {}
    for name in names:
        if not _is_safe(name):
            raise OutputError(f"Output file {name!r}: not a plain relative path.")
        twin = folded.setdefault(name.casefold(), name)
        if twin != name:
            raise OutputError(f"Output files {twin!r} and {name!r} differ only in case.")
    folders = {PurePosixPath(name).parent for name in names}
    for folder in folders.union(*(folder.parents for folder in folders)):
        if str(folder).casefold() in folded:
            raise OutputError(f"Output file {str(folder)!r} is also a folder.")


def _is_safe(name: str) -> bool:
    """Whether a relative path stays inside the folder and is a name on every system."""
    parts = name.split("/")
    return (
        name.isprintable()
        and not UNSAFE & set(name)
        and all(part and part == part.strip(" ").rstrip(". ") for part in parts)
        and parts[0].casefold() not in (MARKER, JOURNAL)
    )


def _bytes(name: str, content: str | bytes) -> bytes:
    if isinstance(content, bytes):
        return content
    try:
        return content.encode("utf-8")
    except UnicodeEncodeError as error:
        raise OutputError(f"Output file {name!r}: text that UTF-8 cannot hold.") from error


def _together(parts: Iterable[Part]) -> Hashes:
    """All files in order of path, none of which clashes with another."""
    found = sorted(item for part in parts for item in part.hashes.items())
    if not found:
        raise OutputError("There is nothing to publish.")
    for (name, _), (other, _) in pairwise(found):
        if name == other:
            raise OutputError(f"Output file {name!r} is given twice.")
    hashes = dict(found)
    _check(hashes)
    return hashes
