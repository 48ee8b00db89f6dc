"""A PNG of grey shades, for pictures that are made of counts (ISO/IEC 15948, PNG 3rd edition)."""

import struct
import zlib

import numpy as np
import numpy.typing as npt


def grey_png(shades: npt.NDArray[np.uint8]) -> bytes:
    """The file.

    Parameters
    ----------
    shades:
        (rows, columns), 0 black to 255 white.

    Returns
    -------
    bytes
        A whole PNG: one byte a pixel, no filter.
    """
    rows, columns = shades.shape
    lines = np.zeros((rows, columns + 1), np.uint8)  # each line begins with its filter, 0: none
    lines[:, 1:] = shades
    head = struct.pack(">IIBBBBB", columns, rows, 8, 0, 0, 0, 0)
    packed = zlib.compress(lines.tobytes(), level=9)
    chunks = _chunk(b"IHDR", head) + _chunk(b"IDAT", packed) + _chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + chunks


def _chunk(kind: bytes, data: bytes) -> bytes:
    body = kind + data
    return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))
