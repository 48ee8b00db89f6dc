"""Where the lines of a trace lie, and which of them get a label.

The trace shows the whole code range, from the lowest code at the bottom to the highest at the top,
so that sub-black and super-white are seen. Percent is an even scale; stops go through the curve.
"""

import math
from dataclasses import dataclass
from enum import Enum

from overlays.measure.counting.yardstick import Yardstick
from overlays.signal.levels import Scale, code_to_percent, luma_scale


class Kind(Enum):
    """What a line stands for."""

    PERCENT = "percent"
    LIMIT = "0 % or 100 %"
    STOP = "a stop"
    MID_GREY = "mid-grey"
    CLIP = "clip"
    FLOOR = "floor"


@dataclass(frozen=True, slots=True)
class Mark:
    """A line at row `row` of the trace (0 is the top), and its label, empty where none fits."""

    kind: Kind
    row: int
    label: str


@dataclass(frozen=True, slots=True)
class Ruler:
    """Rows of a trace of a given height."""

    low_percent: float
    high_percent: float
    rows: int

    def row(self, percent: float) -> int:
        """Row of a level; beyond the code range at the edge."""
        share = (self.high_percent - percent) / (self.high_percent - self.low_percent)
        return min(max(int(share * self.rows), 0), self.rows - 1)

    def holds(self, percent: float) -> bool:
        """Whether the level is a code of the signal at all."""
        return self.low_percent <= percent <= self.high_percent


def ruler(yard: Yardstick, rows: int) -> Ruler:
    """The whole code range of a signal on so many rows, half a code of room at each end."""
    scale: Scale = luma_scale(yard.signal)
    return Ruler(
        code_to_percent(-0.5, yard.signal), code_to_percent(scale.top + 0.5, yard.signal), rows
    )


def percent_marks(on: Ruler, least_gap: int) -> tuple[Mark, ...]:
    """Percent, in steps of 10, 20, 25 or 50 so that labels stand `least_gap` rows apart.

    0 % and 100 % are always there: they are lines of their own.
    """
    step = 100
    for trial in (50, 25, 20, 10):
        if on.row(0.0) - on.row(trial) >= least_gap:
            step = trial
    marks = []
    for percent in range(-20, 140, 5):
        if percent % step or not on.holds(percent):
            continue
        kind = Kind.LIMIT if percent in {0, 100} else Kind.PERCENT
        marks.append(Mark(kind, on.row(percent), f"{percent}"))
    return tuple(marks)


def stop_marks(yard: Yardstick, on: Ruler, least_gap: int) -> tuple[Mark, ...]:
    """Clip, floor, mid-grey and a line per stop between them; labels where there is room.

    A clip that was found in the picture is called so.
    Mid-grey is labelled first, then clip and floor, then the stops outwards from mid-grey.
    """
    found: list[tuple[Kind, float, str]] = [
        (Kind.MID_GREY, yard.carried.stops_to_percent(0.0), "0 st"),
        (Kind.CLIP, yard.first_clip_percent, "clip" if yard.flat_top is None else "found"),
        (Kind.FLOOR, yard.floor_percent, "floor"),
    ]
    found += [(Kind.STOP, level, name) for level, name in _whole_stops(yard)]
    marks: list[Mark] = []
    labelled: list[int] = []
    for kind, percent, name in found:
        if not on.holds(percent):
            continue
        row = on.row(percent)
        if kind is Kind.STOP and any(abs(row - mark.row) < 3 for mark in marks):
            continue  # lines too near to be told apart
        # A label at the edge is moved inwards as a whole: it is there that it needs room.
        stands = min(max(row, least_gap // 2), on.rows - least_gap // 2)
        room = all(abs(stands - other) >= least_gap for other in labelled)
        marks.append(Mark(kind, row, name if room else ""))
        if room:
            labelled.append(stands)
    return tuple(marks)


def _whole_stops(yard: Yardstick) -> list[tuple[float, str]]:
    """Levels of the stops between floor and clip, nearest to mid-grey first."""
    clip, floor = yard.clip_stops, yard.floor_stops
    top = math.floor(clip) if math.isfinite(clip) else 0
    bottom = math.ceil(floor) if math.isfinite(floor) else -8
    order = sorted((s for s in range(bottom, top + 1) if s), key=abs)
    return [(yard.carried.stops_to_percent(s), f"{s:+d}".replace("-", "−")) for s in order]
