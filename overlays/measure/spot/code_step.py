"""The step of the codes really in use: a feed may carry fewer bits than its codes have."""

from dataclasses import dataclass

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.measure.counting.kernels import Flat, flatten
from overlays.signal.frame import Frame
from overlays.signal.signal import Signal

_LOOKED_AT = 64
"""Rows and columns, spread over the picture, whose luma is looked at: 4096 samples."""
_TELL = 6
"""Different codes from which a common step counts: by chance, 6 are even once in 32 pictures with
no noise, and multiples of 4 once in 1000."""
_CERTAIN = 16
"""Different codes from which it is said: by chance, 16 are even once in 30 000."""


@dataclass(frozen=True, slots=True)
class CodeStep:
    """How far codes that are used lie apart.

    Attributes
    ----------
    step:
        A power of two, 1 where every code is used.
    is_certain:
        Whether enough different codes were seen to say so.
    """

    step: int
    is_certain: bool

    def bits(self, signal: Signal) -> int:
        """Bits of the content.

        Parameters
        ----------
        signal:
            Of the feed.

        Returns
        -------
        int
            Bits, at most those of the signal; one less for each doubling of the step.

        Examples
        --------
        >>> CodeStep(4, True).bits(Signal(bits=10))
        8
        """
        return signal.bits - self.step.bit_length() + 1

    def sentences(self, signal: Signal) -> tuple[str, ...]:
        """What is to be said of it; nothing where every code is used or too few were seen.

        Parameters
        ----------
        signal:
            Of the feed.

        Returns
        -------
        tuple of str
            One sentence, or none.

        Examples
        --------
        >>> CodeStep(1, True).sentences(Signal())
        ()
        """
        if self.step == 1 or not self.is_certain:
            return ()
        return (
            f"{signal.bits}-bit feed, {self.bits(signal)}-bit content: only every "
            f"{self.step}th code is used, and the ± is as wide as that asks for"
            if self.step > 2
            else f"{signal.bits}-bit feed, {self.bits(signal)}-bit content: only every second code "
            "is used, and the ± is as wide as that asks for",
        )


@nb.njit(cache=True, nogil=True)
def _look(
    luma: Flat, grid: tuple[int, int, int, int], seen: npt.NDArray[np.uint8]
) -> tuple[int, int]:
    """(bits that differ between samples, different samples up to `_CERTAIN`) on a grid.

    `grid` is (rows, columns, looked at each way, shift); `seen` (65536,) is all 0.
    """
    rows, columns, each, shift = grid
    first = np.int64(luma.buffer[0]) >> shift
    differ, different = 0, 0
    across = np.empty(min(each, columns), np.int64)
    for j in range(across.size):
        across[j] = j * columns // across.size
    for i in range(min(each, rows)):
        # Odd steps, so that no regular pattern of rows or columns hides what lies between them.
        r, further = i * rows // min(each, rows), i % columns
        for j in range(across.size):
            c = across[j] + further
            c -= columns if c >= columns else 0
            code = np.int64(luma.buffer[r * luma.row + c * luma.column]) >> shift
            differ |= int(code ^ first)
            if different < _CERTAIN and seen[code] == 0:
                seen[code] = 1
                different += 1
    return differ, different


def looked_at(rows: int, columns: int) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """The samples of luma by which `code_step` judges a picture.

    Parameters
    ----------
    rows, columns:
        Of the picture.

    Returns
    -------
    tuple of ndarray
        (n,) int64 rows and (n,) int64 columns, n up to 4096; the first sample of all among them.

    Examples
    --------
    >>> [each.tolist() for each in looked_at(2, 2)]
    [[0, 0, 1, 1], [0, 1, 1, 0]]
    """
    down, across = min(_LOOKED_AT, rows), min(_LOOKED_AT, columns)
    i, j = np.divmod(np.arange(down * across, dtype=np.int64), across)
    return i * rows // down, (j * columns // across + i) % columns


def code_step(frame: Frame) -> CodeStep:
    """The step of the codes of a frame's luma (of R', for R'G'B').

    8-bit content that is carried in 10-bit codes as multiples of four has a step of 4, 12 bits in
    16 have 16. A lossy codec fills the codes between, and so does a filter: then the step is 1.
    Too few different codes (a picture of one level) say nothing, and the step is 1.

    Parameters
    ----------
    frame:
        Native codes; any layout.

    Returns
    -------
    CodeStep
        In codes, a power of two, and whether it is certain.

    Examples
    --------
    >>> import numpy as np
    >>> from overlays.signal.signal import Signal, Subsampling
    >>> plane = np.arange(64, 940, 4, dtype=np.uint16).repeat(4).reshape(-1, 4)
    >>> signal = Signal(10, subsampling=Subsampling.S444)
    >>> code_step(Frame((plane, plane, plane), signal)).step
    4
    """
    grid = (frame.rows, frame.columns, _LOOKED_AT, frame.shift)
    seen = np.zeros(1 << 16, np.uint8)
    differ, different = _look(flatten(frame.planes[0]), grid, seen)
    if different < _TELL:
        return CodeStep(1, is_certain=False)
    return CodeStep(int(differ) & -int(differ), different >= _CERTAIN)
