"""What starts the spot's last readings anew, and what does not."""

from firmware.live.last_spots import PAUSE_NS, LastSpots
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal

YARD = yardstick(Signal(), published_curve("BT.709"))


def test_the_same_goes_on_until_a_pause_or_another_way_to_read_it():
    last = LastSpots()
    first = last.of("a", YARD, 0)
    assert last.of("a", YARD, PAUSE_NS) is first
    assert last.of("a", YARD, 2 * PAUSE_NS) is first
    late = last.of("a", YARD, 3 * PAUSE_NS + 1)
    assert late is not first
    other = last.of("b", YARD, 3 * PAUSE_NS + 2)
    assert other is not late
    assert last.of("a", YARD, 3 * PAUSE_NS + 3) is not late
    assert last.of("a", YARD, 0) is not other  # a clock that went back
