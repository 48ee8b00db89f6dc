"""How far a spot is off a target in stops and in percent, on every curve."""

import numpy as np
import pytest

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.expose.off_target import off_target
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent, stops
from tests.colour_frames import card, frame_of

PLACE = SpotPlace(32, 32, 32)


def spot_of(rgb, curve="BT.709"):
    frame = frame_of(card(rgb), curve, noise=0.6)
    yard = yardstick(frame.signal, published_curve(curve))
    return read_spot(frame, yard, PLACE), yard


@pytest.mark.parametrize("curve", ["BT.709", "V-Log"])
def test_off_a_target_in_stops(curve):
    spot, yard = spot_of([0.36, 0.36, 0.36], curve)
    off, pm = off_target(spot, stops(0.5), yard)
    assert off == pytest.approx(0.5, abs=0.01)
    assert pm == spot.stops_pm


@pytest.mark.parametrize("rgb", [(0.3, 0.3, 0.3), (0.6, 0.1, 0.05), (0.05, 0.1, 0.7)])
def test_off_a_target_in_percent_lands_there(rgb):
    # By colour-science's encoder: the card with its light changed as advised has that luma.
    import colour  # noqa: PLC0415

    spot, yard = spot_of(rgb)
    off, _ = off_target(spot, percent(42.0), yard)
    luma = colour.models.oetf_BT709(np.array(rgb) * 2.0**-off) @ [0.2126, 0.7152, 0.0722]
    assert 100.0 * luma == pytest.approx(42.0, abs=0.15)


def test_no_offset_without_light_or_out_of_reach():
    spot, yard = spot_of([0.2, 0.2, 0.2])
    assert off_target(spot, percent(-3.0), yard) == (None, None)
