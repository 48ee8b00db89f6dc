"""A JPEG picture against those before it: what damage leaves whole, and yet not the same."""

from statistics import median

from firmware.v4l2.jpeg_check import JpegLook
from firmware.v4l2.jpeg_shift import shift_of

FEW_STEPS = 3
"""An encoder that changes its quality changes most of the 64 steps of a table; damage one."""
MOST_DOUBTS = 3
"""Whole pictures in doubt one after the other, after which the stream is believed: no damage
comes with every picture and leaves each whole."""
_ENDS = frozenset({1, 255})
"""Where steps of eight bits are held when a table is scaled."""


class Neighbours:
    """The last good picture of a stream, and the last one that was in doubt.

    Two in a row that agree with each other are right: of a stream that has truly changed only one
    picture is in doubt, and one picture that was taken for good by mistake does no harm for long.
    """

    def __init__(self) -> None:
        self._good: JpegLook | None = None
        self._doubted: JpegLook | None = None
        self._doubts = 0

    def doubt(self, look: JpegLook) -> str | None:
        """Why a whole picture is not to be trusted; None where it is, and it is then the last."""
        words = None if self._good is None else unlike(look, self._good)
        agrees = self._doubted is not None and unlike(look, self._doubted) is None
        if words is not None and not agrees and self._doubts < MOST_DOUBTS:
            self._doubted, self._doubts = look, self._doubts + 1
            return words
        self._good, self._doubted, self._doubts = look, None, 0
        return None


def unlike(look: JpegLook, other: JpegLook) -> str | None:
    """What of a picture cannot follow another one; None where all can."""
    now, then = look.head, other.head
    if (now.columns, now.rows, now.components) != (then.columns, then.rows, then.components):
        return "its size or the make of its planes has changed"
    for number, steps in now.quantisers.items():
        known = then.quantisers.get(number, steps)
        changed = sum(a != b for a, b in zip(steps, known, strict=True))
        if 0 < changed <= FEW_STEPS:
            return f"{changed} of 64 steps of a quantisation table have changed"
        if not _is_scaled(steps, known):
            return "a quantisation table has changed otherwise than by its quality"
    if look.restart == other.restart:
        for levels, before in zip(look.levels, other.levels, strict=False):  # none if not walked
            step = shift_of(levels, before, look.restart)
            if step is not None:
                return f"from some place on its levels are off by {step:+.1f} codes"
    return None


def _is_scaled(steps: tuple[int, ...], known: tuple[int, ...]) -> bool:
    """Whether each step is as before or what a new quality makes of it, within rounding."""
    pairs = [(a, b) for a, b in zip(steps, known, strict=True) if a != b]
    pairs = [(a, b) for a, b in pairs if not _ENDS & {a, b}]
    if not pairs:
        return True
    scale = median(a / b for a, b in pairs)
    # Both tables are rounded to whole steps; a step more for encoders that cut instead.
    slack = 0.5 * (scale + 1.0) + 1.0
    return all(abs(a - scale * b) <= slack + 0.05 * a for a, b in pairs)
