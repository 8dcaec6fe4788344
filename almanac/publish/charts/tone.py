"""Small grey pictures as data URIs, to be laid over a drawing as masks."""

import base64
import struct
import zlib

import numpy as np
from numpy.typing import NDArray

LEVELS = 16
"""Greys of a four-bit picture."""


def png(tone: NDArray[np.float64]) -> bytes:
    """A four-bit grey PNG of an array (rows, columns) of tones 0 (black) to 1 (white).

    Rows run downward. Chunks and bit packing: ISO/IEC 15948, sections 5 and 11.
    """
    rows, columns = tone.shape
    level = np.rint(np.clip(tone, 0, 1) * (LEVELS - 1)).astype(np.uint8)
    even = np.pad(level, ((0, 0), (0, columns % 2)))
    packed = (even[:, ::2] << 4) | even[:, 1::2]
    unfiltered = np.zeros((rows, 1), np.uint8)
    data = zlib.compress(np.hstack((unfiltered, packed)).tobytes(), 9)
    header = struct.pack(">IIBBBBB", columns, rows, 4, 0, 0, 0, 0)
    parts = _chunk(b"IHDR", header), _chunk(b"IDAT", data), _chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def _chunk(kind: bytes, data: bytes) -> bytes:
    checksum = struct.pack(">I", zlib.crc32(kind + data))
    return struct.pack(">I", len(data)) + kind + data + checksum


def data_uri(picture: bytes) -> str:
    """The picture for an ``href``."""
    return "data:image/png;base64," + base64.b64encode(picture).decode("ascii")
