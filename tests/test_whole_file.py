"""A file that the user named is the old one or the new one, and nothing else is touched."""

import errno
import os
from pathlib import Path

import pytest

from almanac.errors import AlmanacError
from almanac.whole_file import TakenError, check_place, write_whole


def test_a_file_is_replaced_only_if_that_is_wanted(tmp_path: Path) -> None:
    """Without force the old file stays; with it the new one stands there whole and alone."""
    path = tmp_path / "club.toml"
    write_whole(path, b"mine", replace=False)
    with pytest.raises(TakenError, match=r"club\.toml exists and is left as it is; --force"):
        write_whole(path, b"new", replace=False)
    assert path.read_bytes() == b"mine"
    write_whole(path, b"new\n", replace=True)
    assert path.read_bytes() == b"new\n"
    assert list(tmp_path.iterdir()) == [path]


def test_a_file_needs_a_place(tmp_path: Path) -> None:
    """A folder is not a file, no folder is made, and what is no file stays what it is."""
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    (tmp_path / "mine.pdf").write_bytes(b"mine")
    (tmp_path / "alias").symlink_to(tmp_path / "mine.pdf")
    os.mkfifo(tmp_path / "pipe")
    for name, words in {
        ".": "is a folder; name a file",
        "none/club.toml": "none is not a folder that exists",
        "mine.pdf/club.toml": "mine.pdf is not a folder that exists",
        "link": "is a link or a device; name a file",
        "alias": "is a link or a device; name a file",
        "pipe": "is a link or a device; name a file",
    }.items():
        with pytest.raises(AlmanacError, match=words) as told:
            write_whole(tmp_path / name, b"new", replace=True)
        assert told.value.exit_code == 1
    assert (tmp_path / "mine.pdf").read_bytes() == b"mine"
    assert sorted(os.listdir(tmp_path)) == ["alias", "link", "mine.pdf", "pipe"]
    with pytest.raises(TakenError, match="exists and is left"):
        check_place(tmp_path / "link", replace=False)


@pytest.mark.parametrize(
    ("room", "call", "code"),
    [(Path, "open", errno.EACCES), (os, "fsync", errno.ENOSPC), (os, "replace", errno.EROFS)],
)
def test_a_disk_that_refuses_leaves_the_old_file(
    room: object, call: str, code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Want of rights, of space, a read-only disk: told in words, and nothing lies beside."""

    def refuse(*_: object, **__: object) -> None:
        raise OSError(code, os.strerror(code))

    path = tmp_path / "cards.pdf"
    path.write_bytes(b"old")
    with monkeypatch.context() as patch:
        patch.setattr(room, call, refuse)
        with pytest.raises(
            AlmanacError, match=rf"cards\.pdf cannot be written: {os.strerror(code)}"
        ):
            write_whole(path, b"new", replace=True)
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["cards.pdf"]
