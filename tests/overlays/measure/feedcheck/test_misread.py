"""What wrong feeds cost, against figures that were measured beforehand."""

import pytest

from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.misread import largest_difference, misread
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Range

FULL, NARROW = Carriage.FULL, Carriage.NARROW


def of(curve, carriage=NARROW, levels=Range.LIMITED):
    return Delivery(published_curve(curve), carriage, levels)


@pytest.mark.parametrize(
    ("truly", "taken", "grey", "white", "dark"),
    [
        (of("BT.709"), of("BT.709", levels=Range.FULL), 0.02, -0.23, 1.09),
        (of("BT.709", levels=Range.FULL), of("BT.709"), -0.03, 0.25, None),
        (of("BT.709"), of("S-Log3", FULL), 0.03, 3.79, -2.50),
        (of("S-Log3", FULL), of("BT.709"), -0.02, -1.26, 1.34),
        (of("S-Log3", FULL), of("V-Log", FULL), -0.18, -0.05, -0.57),
        (of("S-Log3", NARROW), of("S-Log3", FULL), 0.05, -0.28, 0.84),
    ],
)
def test_what_a_wrong_feed_costs(truly, taken, grey, white, dark):
    costs = [each.off_stops for each in misread(truly, taken, 10)]
    assert costs[0] == pytest.approx(grey, abs=0.01)
    assert costs[1] == pytest.approx(white, abs=0.01)
    assert costs[2] == (None if dark is None else pytest.approx(dark, abs=0.02))


def test_a_feed_read_as_it_is_costs_nothing():
    assert [e.off_stops for e in misread(of("PQ"), of("PQ"), 10)] == pytest.approx([0.0] * 3)


def test_what_the_way_cuts_off_is_not_read_at_all():
    """A link that was stretched ends at code 940, and a white on the whole scale lies at 971."""
    stretched = of("BT.709", FULL, Range.STRETCHED)
    assert misread(stretched, of("BT.709", FULL), 10)[1].off_stops is None


def test_near_curves_differ_by_little():
    """LogC3 and F-Log2 both have codes 95 and 400."""
    near = largest_difference(of("LogC3", FULL), of("F-Log2", FULL), 10, (400.0, 800.0))
    far = largest_difference(of("LogC3", FULL), of("LogC4", FULL), 10, (400.0, 800.0))
    assert near is not None
    assert far is not None
    assert near < 0.15 < far
    assert largest_difference(of("BT.709"), of("PQ"), 10, (0.0, 64.0)) is None
