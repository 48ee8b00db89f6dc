"""The counts of a whole picture, as far as a mark's numbers are made of them.

Codes of a few places cannot say how many pixels of the picture lie at which level. What was counted
of all of them is kept beside the codes, so that shares of the picture can be made of it again.
"""

from dataclasses import dataclass

import numpy as np

from firmware.errors import JournalError
from overlays.measure.counting.census import Census

LEVELS_OF_RGB = 256
"""Of R', G' and B' in a census."""
BITS = (8, 9, 10)
"""Depths of the levels in a census."""


@dataclass(frozen=True, slots=True)
class Counted:
    """Pixels of a picture by level, wherever they lie.

    Attributes
    ----------
    bits, pixels:
        Depth of the levels; pixels of the picture.
    levels:
        Pixels at each level of luma.
    clipped:
        Pixels at the clip in R', G', B'; None where they were not counted.
    rgb:
        Pixels at each level of R', G', B', 256 each; None where they were not counted.
    """

    bits: int
    pixels: int
    levels: tuple[int, ...]
    clipped: tuple[int, int, int] | None = None
    rgb: tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...]] | None = None

    @classmethod
    def of(cls, census: Census) -> "Counted":
        """What of a census is kept."""
        clipped = rgb = None
        if census.clipped is not None:
            red, green, blue = census.clipped.tolist()
            clipped = red, green, blue
        if census.rgb is not None:
            r, g, b = (tuple(each.sum(axis=0, dtype=np.int64).tolist()) for each in census.rgb)
            rgb = r, g, b
        levels = tuple(census.levels.sum(axis=0, dtype=np.int64).tolist())
        return cls(census.bits, census.pixels, levels, clipped, rgb)

    def census(self) -> Census:
        """A census of one column: every share of the picture reads as in the whole one."""
        return Census(
            self.bits,
            1,
            self.pixels,
            np.array([self.levels], np.uint32),
            np.zeros(1, np.uint64),
            rgb=None if self.rgb is None else np.array(self.rgb, np.uint32)[:, None, :],
            clipped=None if self.clipped is None else np.array(self.clipped, np.int64),
        )

    def check(self, rows: int, columns: int) -> None:
        """See that they can be those of a picture so large.

        Raises
        ------
        JournalError
            They cannot: there are more pixels or fewer, or other levels.
        """
        known = [self.levels, *(self.rgb or ())]
        fits = (
            self.bits in BITS
            and len(self.levels) == 1 << self.bits
            and all(len(each) == LEVELS_OF_RGB for each in self.rgb or ())
            and self.pixels == rows * columns
            and all(min(each) >= 0 and sum(each) == self.pixels for each in known)
            and all(0 <= each <= self.pixels for each in self.clipped or ())
        )
        if not fits:
            raise JournalError("the stored counts are not those of the whole picture")
