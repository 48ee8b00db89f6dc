"""Kinds of argument that numba is told of by one thread, before several bring them.

numba keeps a table of the kinds of argument it has met (tuples, named tuples, arrays that are not
to be written, arrays of bool), one for all loops of the process. Two threads that bring the same
new kind at the same time both enter it, and numba ends the process (`_Numba_hashtable_set` in
numba/_hashtable.cpp, an assertion; numba 0.68 still). Numbers and plain arrays have other tables.
"""

from collections.abc import Iterator
from typing import Any

import numba as nb
import numpy as np

from overlays.measure.counting.kernels import Flat
from overlays.measure.spot.area_kernels import no_sums


@nb.njit
def _nothing(_thing: Any) -> None:  # noqa: ANN401 - of every kind
    """Called with each of them; it has nothing to do, and is never compiled."""


def make_known() -> None:
    """Enter every kind that measuring, drawing, marking and the page bring to loops."""
    # `disable_compile` asks for a loop that is compiled already.
    _nothing._can_compile = False  # noqa: SLF001
    for kind in kinds():
        try:
            _nothing(kind)
        except TypeError:
            continue  # there is no loop for it; its kind is known all the same


def kinds() -> Iterator[object]:
    """One thing of each kind that more than one thread brings to a loop.

    What one thread alone brings (the bench's picture, a stick's compressed frame) is not among
    them.
    """
    yield np.zeros((1, 1), np.bool_)
    yield from ((0,) * n for n in range(2, 7))
    yield from ((0.0,) * n for n in range(2, 4))
    small, large = np.zeros(1, np.uint8), np.zeros(1, np.uint16)
    small.flags.writeable = large.flags.writeable = False
    yield from (small, (small,) * 3)
    for flat in (Flat(small, 0, 0), Flat(large, 0, 0)):
        yield from (flat, (flat,) * 3)
    yield from _of_spots()
    yield from _of_pictures()


def _of_spots() -> Iterator[object]:
    one, two, deep = np.zeros(1), np.zeros((1, 1)), np.zeros((1, 1, 1), np.float32)
    yield from (no_sums(), (two, True), (deep,) * 3, (two, one), (one, one))
    yield np.zeros((1, 1, 1)), two, two
    yield from ((0.0, 0.0, 0), (0.0, 0.0, one), (one, 0.0, 0.0, 0.0, 0.0))


def _of_pictures() -> Iterator[object]:
    level, steps = np.zeros(1, np.int16), np.zeros((1, 1, 1), np.int16)
    long, wide = np.zeros((1, 1), np.int32), np.zeros((1, 1), np.int64)
    shade, shades = np.zeros(1, np.uint32), np.zeros((1, 1), np.uint32)
    yield ((wide, steps), (shades, steps), (0, 0, 0))
    yield ((level,) * 3, (level,) * 2, (level,) * 3, level, long)
    yield (level, 0, 0, long[0], np.zeros(1, np.uint8), (shade, 0), (shade, (0, 0, 0)))
    yield (wide, shades, shade, (0, 0, 0), (0, 0), (0, 0))
    yield from ((shades, shades), (shade, shades), (long, shade), (shade, 0, (0, 0)))
