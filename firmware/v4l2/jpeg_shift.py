"""Whether the levels of a JPEG picture are off from some unit on: a sum that damage threw out.

The level of a block is coded as the difference from the one before it (ITU-T T.81, F.1.1.5.1). A
changed byte can leave data that are whole and yet shift a plane from some unit to the end of the
picture, or to the next restart marker. Against the picture before it that is unlike anything a
lens sees: nothing has changed up to a place in the middle of a row, and all behind it has by the
same amount. (A flash that begins within a frame changes whole rows.) Of pictures that move all
over nothing can be said.
"""

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Levels: TypeAlias = npt.NDArray[np.float64]

LEAST_CODES = 1.0
"""Smaller steps are not told from noise that is rounded to whole codes."""
_BEFORE, _AFTER = 1, 3
"""Units next to the place that damage may have made into anything."""
_SIDE = 2
"""Fewest units of a row that have to lie on either side of the place."""
_SCATTERS = 4.0
"""How many times larger than what three quarters of the units differ by the step has to be."""
_ALIKE = 0.3
"""Share of the step by which a part of the picture may differ from what it has to be."""
_STILL = 0.95
"""Share of a picture that has to stand still where each row of units begins anew."""
_MOST_CODES = 64.0
"""Differences are held to so much while the place is looked for, lest one thing that moves counts
for the whole picture."""


def shift_of(levels: Levels, before: Levels, restart: int) -> float | None:
    """Codes by which levels are off from somewhere on; None where no such place is found.

    Parameters
    ----------
    levels, before:
        (rows, columns) mean codes of the units of one plane, and of the last good picture.
    restart:
        Units between restart markers, with which sums begin anew; 0 for none.
    """
    if levels.shape != before.shape:
        return None
    columns = levels.shape[1]
    changes = (levels - before).ravel()
    length = restart or changes.size
    if length < 2 * _SIDE + _BEFORE + _AFTER or length % columns:
        return None
    count = changes.size // length
    parts = changes[: count * length].reshape(count, length)
    held = np.clip(parts, -_MOST_CODES, _MOST_CODES)
    # Where a level steps, the sum of what differs from the mean turns.
    sums = np.cumsum(held - held.mean(axis=1, keepdims=True), axis=1)
    turns = np.argmax(np.abs(sums), axis=1)
    heights = np.abs(sums[np.arange(count), turns])
    # A step of s codes between a and b units turns at s a b / (a + b), at the least at its edge.
    least = LEAST_CODES
    if restart:  # one part of many: in a picture that moves, one or other looks like a step
        least = max(least, _SCATTERS * float(np.quantile(np.abs(changes), _STILL)))
    likely = np.flatnonzero(heights >= least * _SIDE * (length - _SIDE) / length)
    for n in likely:
        place = int(n) * length + int(turns[n]) + 1
        found = _step(changes, columns, (int(n) * length, place, (int(n) + 1) * length))
        if found is not None and abs(found) >= least:
            return found
    return None


def _step(changes: Levels, columns: int, part: tuple[int, int, int]) -> float | None:
    """The step at `place` of a part of a picture, if it is one of a sum and of nothing else."""
    first, place, end = part
    left, right = changes[first : max(place - _BEFORE, first)], changes[place + _AFTER : end]
    row = place // columns * columns
    beside = changes[max(row, first) : max(place - _BEFORE, row)]
    behind = changes[place + _AFTER : min(row + columns, end)]
    if min(beside.size, behind.size) < _SIDE:
        return None
    step = float(np.median(right)) - float(np.median(left))
    if abs(step) < LEAST_CODES:
        return None
    scatter = max(_scatter(left), _scatter(right))
    if abs(step) < _SCATTERS * scatter or abs(float(np.median(left))) > _ALIKE * abs(step):
        return None
    in_row = float(np.median(behind)) - float(np.median(beside))
    if abs(in_row / step - 1.0) > _ALIKE:
        return None
    # Within one row of units: above and below it nothing may have changed.
    if end - first <= columns:
        for other in (-columns, columns):
            near = changes[max(place + _AFTER + other, 0) : max(end + other, 0)]
            if near.size and abs(float(np.median(near))) > _ALIKE * abs(step):
                return None
    return step


def _scatter(part: Levels) -> float:
    """What three quarters of the units lie within, from their median."""
    return float(np.quantile(np.abs(part - np.median(part)), 0.75))
