"""The site's folder holds the old site or the new one, whole, and nothing of others is lost."""

import ctypes
import errno
import os
import platform
import random
import re
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from copy import copy
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import pytest

from almanac.errors import OutputError
from almanac.publish import folder as site_folder
from almanac.publish import output
from almanac.publish.folder import JOURNAL, MARKER
from almanac.publish.output import Published, publishing

SITE: dict[str, str | bytes] = {
    "index.html": "<p>Größe: 31′</p>\n",
    "field/2027/year.json": "{}\n",
    "field/2027/moon.png": b"\x89PNG\r\n\x1a\n",
}


@pytest.fixture(autouse=True)
def power(monkeypatch: pytest.MonkeyPatch) -> None:
    """It stays on: nothing waits for the disk, but in the tests of just that."""
    monkeypatch.setattr(output, "settle", lambda _: None)


def publish(files: Mapping[str, str | bytes], folder: Path) -> Published:
    """Publish a site in one part."""
    with publishing(folder) as site:
        return site.finish([site.put(files)])


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below a folder by its POSIX path."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def state(folder: Path) -> dict[str, tuple[int, int]]:
    """Inode and time of change of the folder, and of everything beside and below it."""
    paths = [folder.parent, *folder.parent.rglob("*")]
    return {str(path): (path.stat().st_ino, path.stat().st_mtime_ns) for path in paths}


def contents(files: Mapping[str, str | bytes]) -> dict[str, bytes]:
    """What the files should be on disk."""
    return {k: v.encode() if isinstance(v, str) else v for k, v in files.items()}


def site_in(folder: Path) -> dict[str, bytes]:
    """The files of a folder without the marker."""
    return {name: content for name, content in tree(folder).items() if name != MARKER}


def is_as_it_was(told: OutputError, folder: Path) -> None:
    """Hold an error to its word that the old site stands, alone in its folder."""
    assert str(told).endswith("as it was.")
    assert site_in(folder / "site") == contents(SITE)
    assert os.listdir(folder) == ["site"]


def two_renames(monkeypatch: pytest.MonkeyPatch) -> None:
    """Take the one-step exchange away, as on systems without it."""
    monkeypatch.setattr(site_folder, "exchange", lambda first, second: False)


def one_step(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave the system's own way."""


UNIX = pytest.mark.skipif(sys.platform == "win32", reason="no such permissions")
NOBODY = 65534
"""A user without rights, the usual number."""

SWAPS = pytest.mark.parametrize("swap", [one_step, two_renames])


@SWAPS
def test_a_site_is_published_changed_and_shrunk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, swap: Callable[..., None]
) -> None:
    """Each publication leaves exactly its files, counts what it did and leaves nothing beside."""
    swap(monkeypatch)
    folder = tmp_path / "deep" / "site"
    assert publish(SITE, folder) == Published(written=3, unchanged=0, removed=0)
    assert site_in(folder) == contents(SITE)
    changed = SITE | {"index.html": "new", "more.html": "x"}
    del changed["field/2027/moon.png"]
    assert publish(changed, folder) == Published(written=2, unchanged=1, removed=1)
    assert site_in(folder) == contents(changed)
    assert publish({"index.html": "new"}, folder) == Published(written=0, unchanged=1, removed=2)
    assert sorted(path.name for path in folder.rglob("*")) == [MARKER, "index.html"]
    assert os.listdir(folder.parent) == ["site"]


def test_an_unchanged_rebuild_writes_nothing(tmp_path: Path) -> None:
    """Not a file, not a folder and not the lock: inodes and times stay as they were."""
    publish(SITE, tmp_path / "site")
    before = state(tmp_path / "site")
    assert publish(SITE, tmp_path / "site") == Published(written=0, unchanged=3, removed=0)
    assert state(tmp_path / "site") == before


def test_unchanged_files_keep_their_time_when_others_change(tmp_path: Path) -> None:
    """A copier that goes by time of change sends only what is new."""
    folder = tmp_path / "site"
    publish(SITE, folder)
    os.utime(folder / "index.html", ns=(10**18, 10**18))
    publish(SITE | {"more.html": "x"}, folder)
    assert (folder / "index.html").stat().st_mtime_ns == 10**18


def test_files_are_kept_by_copy_where_links_are_not_known(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file system without hard links gives the same site."""

    def no_link(*_: object) -> None:
        raise OSError(errno.EPERM, "no links here")

    publish(SITE, tmp_path / "site")
    monkeypatch.setattr(os, "link", no_link)
    publish(SITE | {"more.html": "x"}, tmp_path / "site")
    assert site_in(tmp_path / "site") == contents(SITE | {"more.html": "x"})


def test_two_publications_of_the_same_files_are_the_same_bytes(tmp_path: Path) -> None:
    """Marker included, whatever the order in which the files were given."""
    publish(SITE, tmp_path / "one")
    publish(dict(reversed(SITE.items())), tmp_path / "two")
    assert tree(tmp_path / "one") == tree(tmp_path / "two")


def test_a_file_of_ours_that_was_damaged_is_made_whole(tmp_path: Path) -> None:
    """What the folder holds is compared, not what the marker remembers."""
    folder = tmp_path / "site"
    publish(SITE, folder)
    (folder / "index.html").write_text("half")
    (folder / "field/2027/year.json").unlink()
    assert publish(SITE, folder) == Published(written=2, unchanged=1, removed=0)
    assert site_in(folder) == contents(SITE)


@pytest.mark.parametrize(
    "name",
    [
        *("/etc/x", "../x", "a/../../x", "a/./b", "./x", ".", "..", "", "a//b", "a/", "C:/x"),
        *("a\\b", "a\0b", "line\nbreak", "a/. ", " a", "a.", "a/..", "what?", MARKER),
        *(MARKER.upper(), MARKER + ".part", MARKER + "/x"),
    ],
)
def test_a_path_that_could_lead_elsewhere_is_refused(tmp_path: Path, name: str) -> None:
    """Absolute, climbing, empty, foreign or reserved: refused before anything is written."""
    with pytest.raises(OutputError, match="not a plain relative path"):
        publish({"index.html": "x", name: "x"}, tmp_path / "site")
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("name", ["a/b.html", "Zürich/ä.html", "..a", "a..b/c", ".nojekyll"])
def test_plain_paths_are_taken(tmp_path: Path, name: str) -> None:
    """Accents, dots inside and a leading dot are harmless."""
    publish({name: "x"}, tmp_path / "site")
    assert site_in(tmp_path / "site") == {name: b"x"}


def test_paths_that_some_disk_would_mix_up_are_refused(tmp_path: Path) -> None:
    """Names apart only by case, and a file where a folder must be, clash on some system."""
    with pytest.raises(OutputError, match="differ only in case"):
        publish({"a/Index.html": "x", "a/index.html": "y"}, tmp_path / "site")
    with pytest.raises(OutputError, match="also a folder"):
        publish({"a": "x", "a/b": "y"}, tmp_path / "site")


def test_nothing_to_publish_is_refused(tmp_path: Path) -> None:
    """An empty site is a mistake: the old one stays."""
    publish(SITE, tmp_path / "site")
    with pytest.raises(OutputError, match="nothing to publish"):
        publish({}, tmp_path / "site")
    assert site_in(tmp_path / "site") == contents(SITE)


def test_text_that_utf8_cannot_hold_is_refused(tmp_path: Path) -> None:
    """A lone surrogate is told by the file's name, not by a traceback."""
    with pytest.raises(OutputError, match=r"'a\.html': text"):
        publish({"a.html": "\ud800"}, tmp_path / "site")


def test_a_site_comes_in_parts(tmp_path: Path) -> None:
    """Parts put one after the other make one site; a later build counts over all of them."""
    folder = tmp_path / "site"
    parts = [{"a/index.html": "a", "a/x.html": "x"}, {"b/index.html": "b"}, {"index.html": "front"}]
    with publishing(folder) as site:
        done = site.finish([site.put(part) for part in parts])
    assert done == Published(written=4, unchanged=0, removed=0)
    whole = {name: content for part in parts for name, content in part.items()}
    assert site_in(folder) == contents(whole)
    with publishing(folder) as site:
        done = site.finish([site.put(part) for part in ({"a/index.html": "new"}, parts[1])])
    assert done == Published(written=1, unchanged=1, removed=2)
    assert site_in(folder) == {"a/index.html": b"new", "b/index.html": b"b"}
    assert os.listdir(tmp_path) == ["site"]


def test_a_file_that_was_put_can_be_read(tmp_path: Path) -> None:
    """Whether new, changed or unchanged, its text is the one that was put last, CRLF and all."""
    folder = tmp_path / "site"
    publish({"a/b.ics": "old\r\n", "c.ics": "same é\r\n"}, folder)
    with publishing(folder) as site:
        site.put({"a/b.ics": "new\r\n", "c.ics": "same é\r\n", "d.ics": "x"})
        assert [site.text(n) for n in ("a/b.ics", "c.ics", "d.ics")] == [
            "new\r\n",
            "same é\r\n",
            "x",
        ]
        with pytest.raises(OutputError, match="No such file"):
            site.text("missing.ics")


def test_what_is_not_finished_is_taken_away(tmp_path: Path) -> None:
    """Parts that were put but never made a site leave no trace."""
    publish(SITE, tmp_path / "site")
    before = state(tmp_path / "site")
    with publishing(tmp_path / "site") as site:
        site.put({"more.html": "x"})
        assert sorted(os.listdir(tmp_path)) == [".site.lock", ".site.new", "site"]
        assert site_in(tmp_path / "site") == contents(SITE)
    before.pop(str(tmp_path))
    after = state(tmp_path / "site")
    assert before == {path: mark for path, mark in after.items() if path != str(tmp_path)}


def test_a_path_given_twice_is_refused(tmp_path: Path) -> None:
    """Two parts with one path, or with paths that some disk would mix up, make no site."""
    for name, message in (("index.html", "given twice"), ("Index.html", "only in case")):
        with (
            pytest.raises(OutputError, match=message),
            publishing(tmp_path / "site") as site,
        ):
            site.finish([site.put({"index.html": "x"}), site.put({name: "y"})])
        assert os.listdir(tmp_path) == []


def test_a_site_swapped_in_by_another_build_stays(tmp_path: Path) -> None:
    """Nothing is joined from a site other than the one that was compared."""
    folder = tmp_path / "site"
    publish(SITE, folder)
    with publishing(folder) as slow:
        parts = [slow.put({"index.html": SITE["index.html"]})]
        publish({"index.html": "other"}, folder)
        parts.append(slow.put({"more.html": "x"}))
        with pytest.raises(OutputError, match="Another build has published"):
            slow.finish(parts)
    assert site_in(folder) == {"index.html": b"other"}
    assert os.listdir(tmp_path) == ["site"]


# Folders that are not ours


def test_a_folder_of_others_is_left_alone(tmp_path: Path) -> None:
    """Files without our marker stop the publication and stay as they are."""
    folder = tmp_path / "site"
    folder.mkdir()
    (folder / "letter.txt").write_text("dear")
    before = state(folder)
    with pytest.raises(OutputError, match=r"did not publish: letter\.txt"):
        publish(SITE, folder)
    assert state(folder) == before


def test_a_strangers_file_in_our_folder_stops_and_stays(tmp_path: Path) -> None:
    """The message names it; the site and the file are as they were."""
    folder = tmp_path / "site"
    publish(SITE, folder)
    for number in range(7):
        (folder / f"field/note{number}.txt").write_text("mine")
    before = state(folder)
    with pytest.raises(OutputError, match=r"field/note0\.txt, .* and 2 more"):
        publish(SITE | {"more.html": "x"}, folder)
    assert state(folder) == before


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    """A folder made for the site beforehand, with its permissions, is fine."""
    folder = tmp_path / "site"
    folder.mkdir(mode=0o750)
    publish(SITE, folder)
    assert site_in(folder) == contents(SITE)
    assert folder.stat().st_mode & 0o777 == 0o750


def test_a_file_in_the_folders_place_is_left_alone(tmp_path: Path) -> None:
    """Neither the folder nor its parent may be a file."""
    (tmp_path / "site").write_text("mine")
    with pytest.raises(OutputError, match="is a file"):
        publish(SITE, tmp_path / "site")
    with pytest.raises(OutputError, match="as it was"):
        publish(SITE, tmp_path / "site" / "below")
    assert (tmp_path / "site").read_text() == "mine"


def test_the_root_of_a_disk_is_refused() -> None:
    """There is nothing beside it to write in."""
    with pytest.raises(OutputError, match="root of a disk"):
        publish(SITE, Path(Path.cwd().anchor))


@pytest.mark.parametrize("marker", ["", "{", "[]", '{"files": 3}', '{"files": [[]]}', "\ufeff{}"])
def test_a_marker_that_is_none_makes_no_folder_ours(tmp_path: Path, marker: str) -> None:
    """A file that merely has the marker's name proves nothing."""
    folder = tmp_path / "site"
    folder.mkdir()
    (folder / MARKER).write_text(marker, encoding="utf-8")
    (folder / "letter.txt").write_text("dear")
    with pytest.raises(OutputError, match="did not publish"):
        publish(SITE, folder)
    assert (folder / "letter.txt").read_text() == "dear"


def test_a_link_in_the_folders_place_is_refused(tmp_path: Path) -> None:
    """The folder that it leads to is not touched."""
    publish(SITE, tmp_path / "real")
    (tmp_path / "site").symlink_to(tmp_path / "real")
    before = tree(tmp_path / "real")
    with pytest.raises(OutputError, match="is a link"):
        publish({"index.html": "new"}, tmp_path / "site")
    assert tree(tmp_path / "real") == before


def test_a_link_inside_the_folder_is_a_strangers(tmp_path: Path) -> None:
    """A page or a folder of ours replaced by a link leads nobody out of the folder."""
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "year.json").write_text("mine")
    folder = tmp_path / "site"
    publish({"index.html": "x", "2027/year.json": "{}"}, folder)
    (folder / "2027/year.json").unlink()
    (folder / "2027").rmdir()
    (folder / "2027").symlink_to(outside)
    with pytest.raises(OutputError, match="did not publish: 2027"):
        publish({"index.html": "new"}, folder)
    assert (outside / "year.json").read_text() == "mine"
    (folder / "2027").unlink()
    (folder / "index.html").unlink()
    (folder / "index.html").symlink_to(outside / "year.json")
    with pytest.raises(OutputError, match="did not publish: index"):
        publish({"index.html": "new"}, folder)
    assert (outside / "year.json").read_text() == "mine"


def test_a_marker_that_names_files_outside_takes_nothing(tmp_path: Path) -> None:
    """Only what lies inside the folder and was walked to is ever ours."""
    (tmp_path / "letter.txt").write_text("dear")
    folder = tmp_path / "site"
    folder.mkdir()
    (folder / MARKER).write_text('{"files": {"../letter.txt": "0"}}')
    publish(SITE, folder)
    assert (tmp_path / "letter.txt").read_text() == "dear"


@pytest.fixture
def powerless() -> Iterator[Path]:
    """A folder that is ours while we are not root."""
    with tempfile.TemporaryDirectory() as name:
        folder, root = Path(name), os.geteuid() == 0
        if root:
            os.chown(folder, NOBODY, NOBODY)
            os.setreuid(NOBODY, 0)
            os.seteuid(NOBODY)
        try:
            yield folder
        finally:
            if root:
                os.seteuid(0)
                os.setreuid(0, 0)
            for path in [folder, *folder.rglob("*")]:
                path.chmod(0o700)


@UNIX
@pytest.mark.parametrize("closed", ["", "site"])
def test_a_read_only_place_is_told(powerless: Path, closed: str) -> None:
    """A folder or a parent that may not be written in: the old site is whole, and stays usable."""
    folder = powerless / "site"
    publish(SITE, folder)
    (powerless / closed).chmod(0o500)
    with pytest.raises(OutputError, match=r"may not be written in|Permission denied"):
        publish({"index.html": "new"}, folder)
    assert site_in(folder) == contents(SITE)
    assert os.listdir(powerless) == ["site"]
    assert publish(SITE, folder).unchanged == 3


@UNIX
def test_an_old_site_that_cannot_be_removed_is_told_by_the_next_build(powerless: Path) -> None:
    """The new site stands; what is in the way is named, and when it is free, all is well."""
    folder, closed = powerless / "site", powerless / ".site.new/field/2027"
    publish(SITE, folder)
    (folder / "field/2027").chmod(0o500)
    publish({"index.html": "new"}, folder)
    with pytest.raises(OutputError, match=rf"Permission denied \({closed}.*as it was"):
        publish({"index.html": "newer"}, folder)
    assert site_in(folder) == {"index.html": b"new"}
    closed.chmod(0o700)
    publish({"index.html": "newer"}, folder)
    assert site_in(folder) == {"index.html": b"newer"}
    assert os.listdir(powerless) == ["site"]


@pytest.mark.parametrize("code", [errno.EROFS, errno.EACCES, errno.EIO, errno.EMFILE])
@pytest.mark.parametrize("call", ["mkdir", "open"])
def test_what_the_system_refuses_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int, call: str
) -> None:
    """A read-only disk, want of rights, a broken disk, too many files: the reason is given."""

    def refuse(*_: object, **__: object) -> None:
        raise OSError(code, os.strerror(code), "where")

    publish(SITE, tmp_path / "site")
    with monkeypatch.context() as patch:
        patch.setattr(os, call, refuse)
        with pytest.raises(OutputError, match=re.escape(os.strerror(code))) as told:
            publish({"index.html": "new"}, tmp_path / "site")
    is_as_it_was(told.value, tmp_path)


def test_a_folder_where_a_disk_is_mounted_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It could not be swapped: told before anything is computed, not after."""
    monkeypatch.setattr(os.path, "ismount", lambda path: Path(path).name == "site")
    with (
        pytest.raises(OutputError, match="disk is mounted here; add a folder in it"),
        publishing(tmp_path / "site"),
    ):
        pytest.fail("publishing has begun")


# Failures midway


@SWAPS
@pytest.mark.parametrize("call", ["write_bytes", "rename", "mkdir"])
@pytest.mark.parametrize("fault", [OSError(errno.ENOSPC, "No space left"), KeyboardInterrupt()])
def test_a_failure_at_any_write_leaves_the_old_site_whole(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    swap: Callable[..., None],
    call: str,
    fault: BaseException,
) -> None:
    """Whichever write, folder or rename fails, the old site stands and nothing lies beside it."""
    swap(monkeypatch)
    folder = tmp_path / "site"
    publish(SITE, folder)
    plain = getattr(Path, call)
    new = {"index.html": "new", "b/c.html": "x", "d.html": "y"}
    for good_calls in range(20):
        left = good_calls

        def failing(path: Path, *args: object, **options: object) -> object:
            nonlocal left
            left -= 1
            if left == -1:
                raise fault
            return plain(path, *args, **options)

        with monkeypatch.context() as patch:
            patch.setattr(Path, call, failing)
            try:
                publish(new, folder)
            except (OutputError, KeyboardInterrupt):
                pass
            else:
                break  # no call was left to fail
        assert site_in(folder) == contents(SITE), good_calls
        assert os.listdir(tmp_path) == ["site"], good_calls
    assert site_in(folder) == contents(new)
    # With the one-step exchange no Path.rename is made at all.
    assert good_calls > 0 or (call, swap) == ("rename", one_step)


def test_a_full_disk_is_told_in_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The message has the folder's role, the system's reason and what became of the old site."""

    def full(path: Path, content: bytes) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(path))

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(OutputError, match=r"^Output folder .*: No space left on device \(") as told:
        publish(SITE, tmp_path / "site")
    assert "as it was" in str(told.value)
    assert os.listdir(tmp_path) == []


@dataclass
class Failing:
    """A function that fails after so many good calls, once or from then on."""

    plain: Callable[..., object]
    left: int
    once: bool
    fault: BaseException

    def __call__(self, *args: object, **options: object) -> object:
        """Do it or fail."""
        self.left -= 1
        if self.left == -1 or (self.left < 0 and not self.once):
            raise self.fault
        return self.plain(*args, **options)


@SWAPS
@pytest.mark.parametrize("fault", [OSError(errno.EIO, "Input/output error"), KeyboardInterrupt()])
@pytest.mark.parametrize("call", ["mkdir", "rename", "unlink", "rmdir", "open", "scandir", "chmod"])
def test_whatever_call_fails_a_whole_site_stands_and_the_next_build_goes_on(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    swap: Callable[..., None],
    call: str,
    fault: BaseException,
) -> None:
    """Once or from then on, the clean-up included: the old site or the new one, and no litter.

    Where two renames are needed and no more succeed after the first, it is kept beside.
    """
    swap(monkeypatch)
    folder = tmp_path / "site"
    new: dict[str, str | bytes] = {"index.html": SITE["index.html"], "b/c.html": "x", "d.html": "y"}
    for good_calls, once in product(range(60), (True, False)):
        publish(SITE, folder)
        failing = Failing(getattr(os, call), good_calls, once, fault)
        with monkeypatch.context() as patch:
            patch.setattr(os, call, failing)
            with suppress(OutputError, KeyboardInterrupt):
                publish(new, folder)
        kept = folder if folder.exists() else tmp_path / ".site.old"
        assert site_in(kept) in (contents(SITE), contents(new)), good_calls
        if failing.left >= 0:
            break  # no call was left to fail
    publish(new, folder)
    assert site_in(folder) == contents(new)
    assert os.listdir(tmp_path) == ["site"]
    assert failing.left >= 0
    # With the one-step exchange nothing is renamed at all.
    assert good_calls > 0 or (call, swap) == ("rename", one_step)


def broken_off(folder: Path, fault: BaseException, finished: bool) -> str:
    """What a build that fails in the middle, or after its end, says of the site."""
    with publishing(folder) as site:
        parts = [site.put({"a.html": "x"})]
        if finished:
            site.finish(parts)
        raise fault


@pytest.mark.parametrize("fault", [ZeroDivisionError(), KeyboardInterrupt(), MemoryError()])
def test_an_error_from_elsewhere_tells_what_became_of_the_site(
    tmp_path: Path, fault: BaseException
) -> None:
    """Before the first site, over an old one and after the new one stands."""
    folder, told = tmp_path / "site", []
    for finished in (False, False, True):
        with pytest.raises(type(fault)) as failed:
            broken_off(folder, copy(fault), finished)
        told += [note.replace(str(folder), "F") for note in failed.value.__notes__]
        assert os.listdir(tmp_path) == (["site"] if folder.exists() else [])
        publish(SITE, folder)
    assert told == [
        "nothing was published in F",
        "the site in F is as it was",
        "the site in F is the new one, whole",
    ]


def test_an_old_site_that_cannot_be_put_back_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where a disk fails between the two renames the message says where the site is."""
    folder = tmp_path / "site"
    publish(SITE, folder)
    two_renames(monkeypatch)
    with monkeypatch.context() as patch:
        patch.setattr(os, "rename", Failing(os.rename, 1, False, OSError(errno.EIO, "broken")))
        with pytest.raises(OutputError, match=r"broken.* is kept in .*\.site\.old\.$"):
            publish({"index.html": "new"}, folder)
    assert site_in(tmp_path / ".site.old") == contents(SITE)
    assert publish(SITE, folder).unchanged == 3
    assert os.listdir(tmp_path) == ["site"]


@UNIX
def test_a_disk_that_is_full_after_any_byte_of_a_file_leaves_no_litter(tmp_path: Path) -> None:
    """A file cut short, the lock and the journal too, blocks no later build."""
    import resource

    folder = tmp_path / "site"
    new: dict[str, str | bytes] = {"index.html": SITE["index.html"], "b/c.html": "x" * 300}
    publish(SITE, folder)
    plain, done = resource.getrlimit(resource.RLIMIT_FSIZE), False
    for most_bytes in range(400):
        resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, plain[1]))
        try:
            publish(new, folder)
            done = True
        except OutputError as error:
            assert re.search(r"File too large|No space left", str(error))  # noqa: PT017
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, plain)
        assert site_in(folder) == contents(new if done else SITE), most_bytes
        assert os.listdir(tmp_path) == ["site"], most_bytes
        if done:
            break
    assert done
    assert most_bytes >= 300


def stop_at(step: str, monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    """Publish a new site and stop dead at a step: no clean-up, as after a kill."""

    def dead(*_: object) -> None:
        raise SystemExit

    with monkeypatch.context() as patch:
        patch.setattr(output, step, dead)
        patch.setattr(output, "recover", lambda _: None)
        patch.setattr(output, "release", lambda _: None)
        with pytest.raises(SystemExit):
            publish({"index.html": "new", "more.html": "x"}, folder)


@pytest.mark.parametrize("step", ["note", "_keep", "seal", "swap"])
def test_what_a_killed_build_left_is_cleared_by_the_next(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    """Even when the next build would change nothing."""
    folder = tmp_path / "site"
    publish(SITE, folder)
    if step == "_keep":
        publish({"index.html": "new"}, folder)  # so that there is a file to keep
    before = site_in(folder)
    stop_at(step, monkeypatch, folder)
    assert len(os.listdir(tmp_path)) > 1
    assert site_in(folder) == before
    publish(dict(before), folder)
    assert site_in(folder) == before
    assert os.listdir(tmp_path) == ["site"]


def test_a_half_made_folder_without_its_marker_is_cleared(tmp_path: Path) -> None:
    """A kill before or amid the writing of the marker leaves nothing that blocks."""
    half = tmp_path / ".site.new"
    half.mkdir()
    (half / JOURNAL).write_text("\nindex.ht")
    publish(SITE, tmp_path / "site")
    assert os.listdir(tmp_path) == ["site"]


def test_a_site_set_aside_by_a_kill_between_two_renames_comes_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where folders cannot be exchanged in one step, the next run restores before it goes on."""
    publish(SITE, tmp_path / "site")
    publish({"index.html": "half"}, tmp_path / ".site.new")
    (tmp_path / "site").rename(tmp_path / ".site.old")
    assert publish(SITE, tmp_path / "site") == Published(written=0, unchanged=3, removed=0)
    assert os.listdir(tmp_path) == ["site"]


def test_a_strangers_folder_under_our_working_name_stays(tmp_path: Path) -> None:
    """The name alone does not make it ours."""
    (tmp_path / ".site.new").mkdir()
    (tmp_path / ".site.new" / "letter.txt").write_text("dear")
    with pytest.raises(OutputError, match=r"\.site\.new .*letter\.txt"):
        publish(SITE, tmp_path / "site")
    assert (tmp_path / ".site.new" / "letter.txt").read_text() == "dear"


# Power cuts


def test_the_disk_has_the_whole_new_site_before_it_takes_the_old_ones_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The list that seals it included; without a change nothing is waited for."""
    settled: list[tuple[dict[str, bytes], dict[str, bytes]]] = []
    folder = tmp_path / "site"

    def settle(new: Path) -> None:
        if threading.current_thread() is threading.main_thread():  # not the one that runs ahead
            settled.append((tree(new), tree(folder)))

    publish(SITE, folder)
    before = tree(folder)
    monkeypatch.setattr(output, "settle", settle)
    publish(SITE | {"more.html": "x"}, folder)
    publish(SITE | {"more.html": "x"}, folder)
    assert settled == [(tree(folder), before)]
    assert before != tree(folder)


class Library:
    """A system's library whose disk refuses what it had seemed to take."""

    def __init__(self, *_: object, **__: object) -> None:
        """Take any name."""

    def syncfs(self, _: int) -> int:
        """Fail as the system does."""
        ctypes.set_errno(errno.EIO)
        return -1


def test_a_disk_that_fails_late_leaves_the_old_site(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is told only when the disk has to have the files is told in words, and in time."""
    publish(SITE, tmp_path / "site")
    monkeypatch.setattr(output, "settle", site_folder.settle)
    monkeypatch.setattr(site_folder.ctypes, "CDLL", Library)
    with pytest.raises(OutputError, match=re.escape(f"{os.strerror(errno.EIO)} (")) as told:
        publish({"index.html": "new"}, tmp_path / "site")
    is_as_it_was(told.value, tmp_path)


def test_systems_without_the_call_for_one_disk_are_asked_for_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Once for each folder that there is, and the system's own way raises nothing."""
    asked: list[bool] = []
    site_folder.settle(tmp_path)
    monkeypatch.setattr(site_folder.ctypes, "CDLL", lambda *_, **__: object())
    monkeypatch.setattr(os, "sync", lambda: asked.append(True), raising=False)
    site_folder.settle(tmp_path)
    site_folder.settle(tmp_path / "none")
    assert asked == [True]


# Two builds at once


def test_a_running_build_keeps_others_out(tmp_path: Path) -> None:
    """The lock of a live process is respected and left in place; the message says how to go on."""
    publish(SITE, tmp_path / "site")
    (tmp_path / ".site.lock").write_text(f"{os.getppid()} {platform.node()}\n")
    with pytest.raises(OutputError, match=r"Another build .* remove .*\.site\.lock"):
        publish({"index.html": "new"}, tmp_path / "site")
    assert site_in(tmp_path / "site") == contents(SITE)
    assert (tmp_path / ".site.lock").exists()


@pytest.mark.parametrize("holder", ["dead", "self", "empty"])
def test_a_lock_without_a_living_holder_is_taken_over(tmp_path: Path, holder: str) -> None:
    """A dead process, this very process (a restarted container) or nobody holds no lock."""
    child = subprocess.Popen([sys.executable, "-c", ""])
    child.wait()
    here = platform.node()
    texts = {"dead": f"{child.pid} {here}\n", "self": f"{os.getpid()} {here}\n", "empty": ""}
    (tmp_path / ".site.lock").write_text(texts[holder])
    publish(SITE, tmp_path / "site")
    assert os.listdir(tmp_path) == ["site"]


@pytest.mark.parametrize(("age_s", "free"), [(0, False), (3000, False), (3700, True)])
def test_a_lock_of_another_machine_is_respected_for_an_hour(
    tmp_path: Path, age_s: int, free: bool
) -> None:
    """On a disk that two share, whether its process lives is not to be asked; it is named."""
    lock = tmp_path / ".site.lock"
    publish(SITE, tmp_path / "site")
    lock.write_text(f"{os.getpid()} elsewhere\n")
    os.utime(lock, (time.time() - age_s,) * 2)
    if free:
        publish({"index.html": "new"}, tmp_path / "site")
    else:
        with pytest.raises(OutputError, match=r"\(process \d+ of elsewhere\)\. If none is running"):
            publish({"index.html": "new"}, tmp_path / "site")
    assert lock.exists() != free
    assert (site_in(tmp_path / "site") != contents(SITE)) == free


def test_a_build_renews_its_lock_with_each_part(tmp_path: Path) -> None:
    """However long it takes, it is not taken for dead by another machine."""
    lock = tmp_path / ".site.lock"
    with publishing(tmp_path / "site") as site:
        site.put({"index.html": "x"})
        os.utime(lock, (0, 0))
        site.put({"more.html": "x"})
        assert time.time() - lock.stat().st_mtime < 3600


LOOP = """
import sys
from pathlib import Path
from almanac.publish.output import publishing
for generation in range(10_000):
    name = "even" if generation % 2 == 0 else "odd"
    files = {f"{name}/{i}.html": str(generation) * 500 for i in range(30)}
    with publishing(Path(sys.argv[1])) as site:
        first = site.put(files)
        site.finish([first, site.put({"index.html": str(generation), "same.css": "x"})])
    print(generation, flush=True)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL")
def test_a_kill_at_any_moment_leaves_one_whole_site(tmp_path: Path) -> None:
    """Twelve kills at random moments: each time a whole site, and the next run just goes on."""
    folder = tmp_path / "site"
    delays = random.Random(4).choices(range(1, 60), k=12)
    for delay_ms in delays:
        build = subprocess.Popen(
            [sys.executable, "-c", LOOP, str(folder)], stdout=subprocess.PIPE, text=True
        )
        assert build.stdout
        assert build.stdout.readline()
        time.sleep(delay_ms / 1000)
        build.send_signal(signal.SIGKILL)
        build.communicate()
        site = site_in(folder)
        generation = int(site["index.html"])
        name = "even" if generation % 2 == 0 else "odd"
        pages = {f"{name}/{i}.html": (str(generation) * 500).encode() for i in range(30)}
        assert site == pages | {"index.html": str(generation).encode(), "same.css": b"x"}
    publish(SITE, folder)
    assert os.listdir(tmp_path) == ["site"]
