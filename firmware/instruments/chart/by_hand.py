"""The chart's corners as a person moves them on the screen. Pure."""

from dataclasses import dataclass, replace

from firmware.actions import Press
from overlays.measure.chart.place import Corners

Offset = tuple[float, float]
Offsets = tuple[Offset, Offset, Offset, Offset]

UNMOVED: Offsets = ((0.0, 0.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0))
COARSE_SHARE = 80
"""A coarse step of a corner is picture width divided by this: half one of the spot's."""
START = 0.2
"""Where corners start from when none were ever found: this far inside the picture."""

COARSE = {
    Press.SPOT_LEFT: (-1, 0),
    Press.SPOT_RIGHT: (1, 0),
    Press.SPOT_UP: (0, -1),
    Press.SPOT_DOWN: (0, 1),
}
FINE = {
    Press.SPOT_LEFT_FINE: (-1, 0),
    Press.SPOT_RIGHT_FINE: (1, 0),
    Press.SPOT_UP_FINE: (0, -1),
    Press.SPOT_DOWN_FINE: (0, 1),
}


@dataclass(frozen=True, slots=True)
class ByHand:
    """What a person has done about the corners.

    Attributes
    ----------
    offsets:
        How far each was moved, in pixels of the feed; None while the chart is looked for.
    corner:
        The one that is moved, 0 to 3.
    """

    offsets: Offsets | None = None
    corner: int = 0

    @property
    def chosen(self) -> int | None:
        """The corner that is moved; None while the chart is looked for."""
        return None if self.offsets is None else self.corner


def pressed(hand: ByHand, press: Press, columns: int) -> ByHand | None:
    """The corners after a press, on a picture so wide; None where it means nothing to them."""
    if press is Press.NEXT_STRIPE:
        return replace(hand, corner=(hand.corner + 1) % 4)
    if press is Press.SPOT_CENTRE:
        return replace(hand, offsets=None)
    if press in COARSE:
        return _moved(hand, COARSE[press], float(max(columns // COARSE_SHARE, 2)))
    if press in FINE:
        return _moved(hand, FINE[press], 1.0)
    return None


def _moved(hand: ByHand, way: tuple[int, int], step: float) -> ByHand:
    moved = list(hand.offsets or UNMOVED)
    x, y = moved[hand.corner]
    moved[hand.corner] = (x + way[0] * step, y + way[1] * step)
    return replace(hand, offsets=(moved[0], moved[1], moved[2], moved[3]))


def start_box(columns: int, rows: int) -> Corners:
    """The corners where none were ever found."""
    left, top = START * columns, START * rows
    right, bottom = columns - left, rows - top
    return Corners(((left, top), (right, top), (right, bottom), (left, bottom)))


def shifted(base: Corners, offsets: Offsets, columns: int, rows: int) -> Corners:
    """Corners moved, each kept inside a picture of a size."""
    p = [
        (min(max(x + dx, 0.0), float(columns)), min(max(y + dy, 0.0), float(rows)))
        for (x, y), (dx, dy) in zip(base.points, offsets, strict=True)
    ]
    return Corners((p[0], p[1], p[2], p[3]))
