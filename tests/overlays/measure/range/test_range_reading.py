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


@pytest.fixture(scope="module")
def census():
    return take_census(FRAME, YARD, Wants.LEVELS | Wants.RGB | Wants.CLIPPING)


@pytest.fixture(scope="module")
def found(census):
    """Read in a test and not while tests are collected: all processes of a run wait for that."""
    return read_range(FRAME, YARD, census, SPECK)


def place_of(thing):
    return SpotPlace(thing.column, thing.row, thing.size)


def test_they_are_what_is_read_there_under_the_ceilings(found):
    under = YARD.under(found.flat_top, found.doubts)
    bright, dark = found.spots(under)
    for spot, thing in ((bright, found.brightest), (dark, found.darkest)):
        again = read_spot(FRAME, under, place_of(thing))
        assert (spot.stops, spot.stops_pm, spot.clipped) == (
            again.stops,
            again.stops_pm,
            again.clipped,
        )


@pytest.mark.parametrize("change", [-2.0, 0.0, 1.0])
def test_what_is_foreseen_is_the_same_whether_they_are_read_again_or_not(change, census, found):
    bare = replace(
        found,
        brightest=replace(found.brightest, spot=None),
        darkest=replace(found.darkest, spot=None),
    )
    assert bare == found
    assert bare.spots(YARD.under(found.flat_top, found.doubts)) is None
    expected = foresee(change, FRAME, YARD, census, bare, SPECK)
    assert foresee(change, FRAME, YARD, census, found, SPECK) == expected


def test_by_another_yardstick_they_say_nothing(found):
    assert found.flat_top is not None
    assert found.spots(YARD) is None  # without the ceilings
    other = yardstick(FRAME.signal, published_curve("V-Log"))
    assert found.spots(other.under(found.flat_top, found.doubts)) is None
