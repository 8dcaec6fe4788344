"""Reads the text files that a club wrote; whatever is wrong with one is a ConfigError."""

import stat
from pathlib import Path

from almanac.errors import ConfigError, Fault

FILE = "file"
"""Stands for a key in a fault of a file as a whole."""


def read_source(path: Path, most_bytes: int) -> bytes:
    """The bytes of a regular file of at most that size."""
    try:
        source = _read(path, most_bytes + 1)
    except FileNotFoundError:
        raise file_error(path, "missing", "a text file that exists") from None
    except ValueError:  # worded differently by each Python
        raise file_error(path, "unreadable", "a path without a NUL character") from None
    except OSError as error:
        allowed = f"a text file that can be read ({error.strerror})"
        raise file_error(path, "unreadable", allowed) from None
    if len(source) > most_bytes:
        raise file_error(path, "too long", f"a text file of at most {most_bytes} bytes")
    return source


def _read(path: Path, most_bytes: int) -> bytes:
    mode = path.stat().st_mode
    if stat.S_ISDIR(mode):
        raise file_error(path, "a folder", "a text file")
    if not stat.S_ISREG(mode):  # a pipe or a device could keep us waiting for ever
        raise file_error(path, "not a regular file", "a text file")
    with path.open("rb") as stream:
        return stream.read(most_bytes)


def decoded(source: bytes, path: Path) -> str:
    """The text of UTF-8 bytes, without a byte-order mark."""
    try:
        return source.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = source.count(b"\n", 0, error.start) + 1
        found = f"byte 0x{source[error.start]:02x} in line {line}"
        raise file_error(path, found, "text saved as UTF-8") from None


def file_error(path: Path, value: str, allowed: str) -> ConfigError:
    """The error for a fault of a file as a whole."""
    return ConfigError([Fault(str(path), FILE, value, allowed)])
