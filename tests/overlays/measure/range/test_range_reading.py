"""What the extremes were read as serves again, by the same yardstick only."""

from dataclasses import replace

import pytest

from overlays.measure.counting.census import Wants, take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.range.forecast import foresee
from overlays.measure.range.range import read_range
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.published import published_curve
from tests.clipped_frames import clipped_frame

SPECK = 0.02
FRAME = clipped_frame(0.05, 0.4)
YARD = yardstick(FRAME.signal, published_curve("S-Log3"))
CENSUS = take_census(FRAME, YARD, Wants.LEVELS | Wants.RGB | Wants.CLIPPING)
FOUND = read_range(FRAME, YARD, CENSUS, SPECK)


def place_of(thing):
    return SpotPlace(thing.column, thing.row, thing.size)


def test_they_are_what_is_read_there_under_the_ceilings():
    under = YARD.under(FOUND.flat_top, FOUND.doubts)
    bright, dark = FOUND.spots(under)
    for spot, thing in ((bright, FOUND.brightest), (dark, FOUND.darkest)):
        again = read_spot(FRAME, under, place_of(thing))
        assert (spot.stops, spot.stops_pm, spot.clipped) == (
            again.stops,
            again.stops_pm,
            again.clipped,
        )


@pytest.mark.parametrize("change", [-2.0, 0.0, 1.0])
def test_what_is_foreseen_is_the_same_whether_they_are_read_again_or_not(change):
    bare = replace(
        FOUND,
        brightest=replace(FOUND.brightest, spot=None),
        darkest=replace(FOUND.darkest, spot=None),
    )
    assert bare == FOUND
    assert bare.spots(YARD.under(FOUND.flat_top, FOUND.doubts)) is None
    expected = foresee(change, FRAME, YARD, CENSUS, bare, SPECK)
    assert foresee(change, FRAME, YARD, CENSUS, FOUND, SPECK) == expected


def test_by_another_yardstick_they_say_nothing():
    assert FOUND.flat_top is not None
    assert FOUND.spots(YARD) is None  # without the ceilings
    other = yardstick(FRAME.signal, published_curve("V-Log"))
    assert FOUND.spots(other.under(FOUND.flat_top, FOUND.doubts)) is None
