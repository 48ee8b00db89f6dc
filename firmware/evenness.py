"""How even a background is lit, on the screen: which area, and what is said of it."""

import numpy as np

from firmware.clock import Clock
from firmware.reported import Scene, Wishes
from overlays.draw.moment.more import More, Report, Row
from overlays.draw.wording import UNKNOWN, pm_text, signed
from overlays.errors import OverlayError
from overlays.measure.pins.lighting import Evenness, read_evenness
from overlays.measure.spot.spot import SpotPlace

EVERY_NS = 1_000_000_000
"""Once a second: the whole picture takes as long as several frames."""

CELLS = 6
"""Along the longer side: few enough for figures in them, and a quarter of the command's."""

HOW = "the last two pins span the area: N sets one where the spot is"


class EvennessReporter:
    """Reads the area once a second, and at once where it or the profile is another."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._read: tuple[tuple[object, ...], int, More] | None = None

    def more(self, scene: Scene, wishes: Wishes) -> More:
        """The map and its report."""
        now_ns = self._clock.now_ns()
        place = area_of(wishes, scene)
        key = (place, wishes.profile, scene.frame.signal)
        last = self._read
        if last is not None and last[0] == key and 0 <= now_ns - last[1] < EVERY_NS:
            return last[2]
        more = _more(scene, place, wishes)
        self._read = (key, now_ns, more)
        return more


def area_of(wishes: Wishes, scene: Scene) -> SpotPlace:
    """The box that holds the last two pins, or the spot's where there are not two."""
    if len(wishes.pins) < 2:
        return scene.place
    one, other = (pin.place for pin in wishes.pins[-2:])
    left, top = min(one.left, other.left), min(one.top, other.top)
    width = max(one.left + one.size, other.left + other.size) - left
    height = max(one.top + one.rows, other.top + other.rows) - top
    return SpotPlace(left + width // 2, top + height // 2, width, height)


def _more(scene: Scene, place: SpotPlace, wishes: Wishes) -> More:
    count = len(wishes.pins)
    heading = f"evenness, pins {count - 1} to {count}" if count > 1 else "evenness of the spot"
    hints = () if count > 1 else (HOW,)
    try:
        even = read_evenness(scene.frame, scene.yard, place, CELLS)
    except OverlayError as fault:
        return More(Report(heading, UNKNOWN, "", str(fault)))
    return More(evenness_report(even, heading, hints), evenness=even)


def evenness_report(even: Evenness, heading: str, hints: tuple[str, ...] = ()) -> Report:
    """How far any cell is from the mean, and where the brightest and the darkest lie."""
    if even.within_stops is None:
        first, *rest = even.warnings
        return Report(heading, UNKNOWN, "", first, notes=tuple(rest))
    grid = even.map_stops.shape
    bright, dark = (_where(cell, grid) for cell in (even.brightest, even.darkest))
    spread = f"{even.spread_stops:.2f} {pm_text(even.spread_pm, 2)}"
    return Report(
        heading,
        f"±{even.within_stops:.2f}",
        f"{pm_text(even.within_pm, 2)} st  ·  from the mean",
        f"even within ±{even.within_stops:.2f} st; brightest {bright}, darkest {dark}",
        rows=(
            Row("brightest, st", signed(float(even.map_stops[even.brightest]), 2)),
            Row("darkest, st", signed(float(even.map_stops[even.darkest]), 2)),
            Row("spread, st", spread),
        ),
        notes=(*even.warnings, *hints),
    )


def _where(cell: tuple[int, int], grid: tuple[int, ...]) -> str:
    """The part of the area that a cell lies in, in words."""
    down, across = ((at + 0.5) / count for at, count in zip(cell, grid, strict=True))
    rows = ("top", "", "bottom")[int(np.floor(3.0 * down))]
    columns = ("left", "", "right")[int(np.floor(3.0 * across))]
    return " ".join(word for word in (rows, columns) if word) or "in the middle"
