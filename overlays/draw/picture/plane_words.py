"""A frame's planes as flat rows of machine words, so that one kernel text reads every layout.

A plane whose samples lie 1, 2 or 4 bytes apart is a row of words of that size with the sample at a
fixed place in each word: luma of UYVY is the upper byte of 16-bit words, its Cb the lowest byte of
32-bit words, Cr of NV12 the upper byte of 16-bit words. Words are read in sequence, which
vectorises; samples strided through memory do not. Other layouts are copied to planes first.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.signal.frame import Frame, Plane

Bytes = npt.NDArray[np.uint8]

DRAWN_BITS = 10
"""Codes are drawn with at most so many bits; deeper ones lose their lowest bits on the screen."""

_WORD_SIZES = (1, 2, 4)


@dataclass(frozen=True, slots=True, eq=False)
class Words:
    """One plane for a kernel.

    Attributes
    ----------
    data:
        Every byte from the first word to the last, read-only uint8, aligned to the word.
    word_bytes:
        Size of a word: 1, 2 or 4.
    stride_words:
        Words from row to row.
    shift:
        How far the code lies above the lowest bit of its word, lowest bits dropped included.
    """

    data: Bytes
    word_bytes: int
    stride_words: int
    shift: int


def drawn_bits(frame: Frame) -> int:
    """Bits of a code that are drawn."""
    return min(frame.signal.bits, DRAWN_BITS)


def dropped_bits(frame: Frame) -> int:
    """Lowest bits of a code that are not drawn."""
    return frame.signal.bits - drawn_bits(frame)


class PlaneReader:
    """Turns frames into words; keeps the scratch planes that odd layouts are copied to."""

    def __init__(self) -> None:
        self._scratch: dict[int, Plane] = {}

    def words(self, frame: Frame) -> tuple[Words, Words, Words]:
        """The three planes of a frame."""
        extra = frame.shift + dropped_bits(frame)
        made = [self._plane(index, plane, extra) for index, plane in enumerate(frame.planes)]
        return made[0], made[1], made[2]

    def _plane(self, index: int, plane: Plane, extra_shift: int) -> Words:
        direct = _direct(plane, extra_shift)
        if direct is not None:
            return direct
        kept = self._scratch.get(index)
        if kept is None or kept.shape != plane.shape or kept.dtype != plane.dtype:
            kept = np.empty(plane.shape, plane.dtype)
            self._scratch[index] = kept
        np.copyto(kept, plane)
        copied = _direct(kept, extra_shift)
        assert copied is not None  # a tight plane always is a row of words
        return copied


def _direct(plane: Plane, extra_shift: int) -> Words | None:
    """The plane as words where it stands, or None where its layout is no row of words."""
    row_bytes, word = plane.strides
    if plane.shape[1] == 1:
        word = plane.itemsize
    address = plane.ctypes.data
    inside = address % word if word in _WORD_SIZES else 0
    if (
        word not in _WORD_SIZES
        or row_bytes % word
        or row_bytes <= 0
        or inside % plane.itemsize
        or not plane.dtype.isnative
    ):
        return None
    rows, columns = plane.shape
    length = (rows - 1) * row_bytes + columns * word
    return Words(
        data=_flat(plane, address - inside, length),
        word_bytes=word,
        stride_words=row_bytes // word,
        shift=8 * inside + extra_shift,
    )


def _flat(plane: Plane, address: int, length: int) -> Bytes:
    """Bytes from the start of the first sample's word, which is at that address.

    The word is aligned, so the few bytes before the sample lie in the same page of memory as the
    sample itself: in every packed layout they are the neighbouring components.
    """
    interface = {
        "shape": (length,),
        "typestr": "|u1",
        "data": (address, True),
        "version": 3,
    }
    return np.asarray(_Holder(interface, plane))


class _Holder:
    """Hands NumPy a stretch of memory, and keeps its owner alive as the view's base."""

    def __init__(self, interface: dict[str, object], owner: Plane) -> None:
        self.__array_interface__ = interface
        self.owner = owner
