"""One file that the user named, written as a whole or not at all."""

import os
from contextlib import suppress
from pathlib import Path

from almanac.errors import AlmanacError


class TakenError(AlmanacError):
    """A file lies there and is not to be replaced."""

    exit_code = 2


def check_place(path: Path, replace: bool) -> None:
    """AlmanacError unless a file can be made there, TakenError if one is there and is to stay.

    A link is not followed, and neither it nor a device is replaced by a file.
    """
    if path.is_dir():
        raise AlmanacError(f"{path} is a folder; name a file")
    if not path.parent.is_dir():
        raise AlmanacError(f"{path.parent} is not a folder that exists")
    if not os.path.lexists(path):
        return
    if not replace:
        raise TakenError(f"{path} exists and is left as it is; --force replaces it")
    if path.is_symlink() or not path.is_file():
        raise AlmanacError(f"{path} is a link or a device; name a file")


def write_whole(path: Path, content: bytes, replace: bool) -> None:
    """Write a file beside its place and put it there; raises as ``check_place`` does."""
    check_place(path, replace)
    beside = path.with_name(f".almanac.{os.getpid()}.new")
    try:
        with beside.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())  # lest a power cut leave the name with an empty file
        os.replace(beside, path)
    except OSError as error:
        raise AlmanacError(f"{path} cannot be written: {error.strerror}") from None
    finally:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
