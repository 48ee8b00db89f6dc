"""What reports keep from frame to frame, for the live frames and for a held one alike.

Live frames are measured in one thread, a held one in another; each value here is replaced as a
whole and never changed. Whoever measures what is on the screen takes what is asked for: while a
frame is held, a mark is a mark of that frame.
"""

from dataclasses import dataclass

from firmware.reported import Wishes
from overlays.draw.moment.more import Ghost, More
from overlays.draw.moment.shown import Face
from overlays.measure.chart.place import Corners
from overlays.measure.spot.spot import SpotReading


@dataclass(frozen=True, slots=True, eq=False)
class Taken:
    """Camera A: which press took it, its pins by number, and its counts."""

    number: int
    spots: dict[int, SpotReading]
    ghost: Ghost


@dataclass(slots=True, eq=False)
class Remembered:
    """All of it.

    Attributes
    ----------
    taken:
        Camera A, or None.
    ghost:
        Which press kept or dropped the balance view's ghost, and the ghost.
    found, base:
        Corners of the chart last found, and those that are moved by hand.
    watch:
        What the watch says now, for a held frame to show; None where nobody looks at it.
    """

    taken: Taken | None = None
    ghost: tuple[int, Ghost | None] = (0, None)
    found: Corners | None = None
    base: Corners | None = None
    watch: More | None = None


def is_shown(wishes: Wishes, of: Face) -> bool:
    """Whether the frames of this kind, live or held, are those on the screen."""
    return wishes.held is (of is Face.HELD)
