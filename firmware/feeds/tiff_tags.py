"""One number out of the first directory of a TIFF, or of Exif data, which are built like one.

TIFF Revision 6.0 section 2: an order of bytes, where the directory begins, and in it entries of
twelve bytes: tag, kind (3 is a number of 16 bits), count, value.
"""

import struct

_ORDERS = {b"II*\0": "<", b"MM\0*": ">"}
_SHORT = 3


def short_tag(content: bytes, wanted: int) -> int | None:
    """The value of a tag that is one number of 16 bits; None where there is none such."""
    order = _ORDERS.get(content[:4])
    if order is None:
        return None
    try:
        (first,) = struct.unpack_from(f"{order}I", content, 4)
        (count,) = struct.unpack_from(f"{order}H", content, first)
        for number in range(count):
            at = first + 2 + 12 * number
            tag, kind, _, value = struct.unpack_from(f"{order}HHIH", content, at)
            if (tag, kind) == (wanted, _SHORT):
                return int(value)
    except struct.error:  # it ends too early, or points out of itself
        pass
    return None
