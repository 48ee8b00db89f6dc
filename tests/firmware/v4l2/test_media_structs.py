"""Sizes and offsets of these are asserted with all others in test_structs; here, their packing."""

import ctypes

from firmware.v4l2 import media_structs


def test_tables_of_the_graph_have_no_gaps():
    # "packed" in include/uapi/linux/media.h: an array of them is read as one block.
    for one in (
        media_structs.MediaEntity,
        media_structs.MediaInterface,
        media_structs.MediaPad,
        media_structs.MediaLink,
    ):
        assert ctypes.sizeof(one * 3) == 3 * ctypes.sizeof(one)
        last = getattr(one, one._fields_[-1][0])
        assert last.offset + last.size == ctypes.sizeof(one)
