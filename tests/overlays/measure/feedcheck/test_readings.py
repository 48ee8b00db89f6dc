import numpy as np
import pytest

from overlays.errors import ReadingsOrderError
from overlays.measure.counting.census import take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.feedcheck.readings import (
    CodeReading,
    What,
    check_order,
    reading_of_clip,
    reading_of_spot,
)
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.published import published_curve
from tests.made_feeds import grey_frame

PLACE = SpotPlace(32, 32, 48)


def read(codes, bits=8, curve="BT.709"):
    frame = grey_frame(codes, bits)
    yard = yardstick(frame.signal, published_curve(curve))
    return frame, yard


@pytest.mark.parametrize("curve", ["BT.709", "S-Log3", "PQ"])
def test_codes_are_native_whatever_the_feed_is_taken_for(curve):
    rng = np.random.default_rng(2)
    codes = np.rint(300.0 + rng.normal(0.0, 2.0, (64, 64)))
    frame, yard = read(codes, 10, curve)
    found = reading_of_spot(read_spot(frame, yard, PLACE), yard)
    assert found.code == pytest.approx(codes[8:56, 8:56].mean(), abs=1e-6)
    assert 0.02 < found.code_pm < 0.6
    assert found.noise == pytest.approx(2.0, rel=0.2)
    assert found.is_grey


def test_a_coloured_card_is_no_grey():
    frame, yard = read(np.full((64, 64), 110.0))
    frame.planes[1][:] = 140
    assert not reading_of_spot(read_spot(frame, yard, PLACE), yard).is_grey


def test_the_clip_is_the_highest_pile_and_no_glint():
    codes = np.full((64, 64), 90.0)
    codes[:20, :20] = 220.0
    codes[40, 40] = 250.0  # a speck of 1 in 4096 pixels
    frame, yard = read(codes)
    found = reading_of_clip(take_census(frame, yard), yard)
    assert found.code == pytest.approx(220.0, abs=0.01)
    assert found.code_pm >= 1.0


@pytest.mark.parametrize("darker", [What.CAP, What.CARD])
def test_readings_that_do_not_rise_are_refused_with_what_to_do(darker):
    right = {
        What.CAP: CodeReading(16.0, 0.2),
        What.CARD: CodeReading(105.0, 0.2),
        What.CLIP: CodeReading(235.0, 1.0),
    }
    check_order(right)
    check_order({What.CAP: right[What.CAP]})
    with pytest.raises(ReadingsOrderError, match="must be brighter"):
        check_order({**right, darker: CodeReading(240.0, 0.2)})
