"""What is known while frame after frame is measured, and what one of them is measured with."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from firmware.live.orders import Orders
from overlays.draw.moment.shown import StripeShown
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.range_reading import RangeReading
from overlays.measure.spot.spot import SpotPlace, SpotReading
from overlays.signal.frame import Frame

RANGE_EVERY_NS = 250_000_000
"""Extremes and shares, which take longer to find, four times a second."""
RANGE_REST = 4
"""Of a slow board's time the range takes a fifth at most: it rests so many times as long."""
LOOK_EVERY_NS = 1_000_000_000
"""Where the camera clips is looked for once a second, which takes longer still; it hardly moves."""


@dataclass(slots=True)
class ReadSoFar:
    """What was read last, for which orders and when.

    `..._rest_ns` say how long to wait before the next; `is_ranging` while one is read meanwhile.
    """

    orders: Orders
    spot_ns: int
    range_ns: int
    looked_ns: int
    range_rest_ns: int = RANGE_EVERY_NS
    look_rest_ns: int = LOOK_EVERY_NS
    is_ranging: bool = False
    spot: SpotReading | None = None
    range: RangeReading | None = None
    stripes: tuple[StripeShown, ...] = ()
    figures: Mapping[str, str] = field(default_factory=dict)

    def rest_of_range(self, took_ns: int) -> None:
        """The range took so long: on a slow board it is read less often."""
        self.range_rest_ns = max(RANGE_EVERY_NS, RANGE_REST * took_ns)


@dataclass(frozen=True, slots=True, eq=False)
class TakenUp:
    """A frame, and what it is read with, for which orders."""

    frame: Frame
    base: Yardstick
    yard: Yardstick
    place: SpotPlace
    known: ReadSoFar
