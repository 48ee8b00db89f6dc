"""Bands as codes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import BandError
from overlays.measure.counting.bands import Band, BandKind, around, code_band
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.levels import code_to_percent
from overlays.signal.published import published_curve
from overlays.signal.quantities import Level, Unit, percent, stops
from overlays.signal.signal import Range, Signal

V_LOG = yardstick(Signal(10), published_curve("V-Log"))
BT709 = yardstick(Signal(8), published_curve("BT.709"))


@given(
    at=st.floats(-5, 6),
    within=st.floats(0.05, 2.0),
    bits=st.sampled_from([8, 10, 12]),
    limits=st.sampled_from(list(Range)),
)
def test_exactly_the_codes_whose_stops_lie_in_the_band(at, within, bits, limits):
    yard = yardstick(Signal(bits, limits), published_curve("S-Log3"))

    def reads(code):
        return yard.carried.percent_to_stops(code_to_percent(float(code), yard.signal))

    top = (1 << bits) - 1
    try:
        band = code_band(around(stops(at), stops(within)), yard)
    except BandError:  # narrower than from code to code, as eight bits are in the dark
        inside = [c for c in range(top + 1) if abs(reads(c) - at) <= within - 1e-6]
        assert not inside
        return
    assert at - within - 1e-6 <= reads(band.low)
    assert reads(band.high) <= at + within + 1e-6
    assert band.low == 0 or not reads(band.low - 1) >= at - within + 1e-6
    assert band.high == top or not reads(band.high + 1) <= at + within - 1e-6


def test_ceiling_and_floor_reach_the_ends_of_the_scale():
    above = code_band(Band(BandKind.ABOVE, percent(95)), BT709)
    assert (above.low, above.high) == (225, 255)  # 16 + 2.19 * 95 = 224.05
    below = code_band(Band(BandKind.BELOW, percent(2)), BT709)
    assert (below.low, below.high) == (0, 20)  # 16 + 2.19 * 2 = 20.38


@pytest.mark.parametrize(
    "band",
    [
        around(stops(0), stops(0)),
        around(stops(0), percent(1)),
        around(stops(0.02), stops(1e-6)),
        around(stops(30), stops(0.2)),
        around(percent(500), percent(1)),
        Band(BandKind.AROUND, stops(0)),
        Band(BandKind.ABOVE, percent(150)),
        Band(BandKind.BELOW, percent(-20)),
    ],
    ids=str,
)
def test_impossible_bands_say_why(band):
    with pytest.raises(BandError, match="band"):
        code_band(band, BT709)


@pytest.mark.parametrize(
    ("band", "remedy"),
    [
        (around(stops(0.02), stops(1e-6)), "between the curve's black and its top"),
        (around(percent(50), percent(0.05)), "between 0 % and 100 %"),
        (Band(BandKind.ABOVE, percent(120)), "move its level into what the signal carries"),
    ],
)
def test_what_to_do_about_a_band_without_a_code_is_said_in_its_unit(band, remedy):
    # 50 % is 125.5 in eight bits, between two codes; the scale ends at 109.1 %.
    with pytest.raises(BandError, match=remedy):
        code_band(band, BT709)


def test_a_band_reads_like_a_sentence():
    assert str(around(stops(0), stops(0.2))) == "0 st ± 0.2 st"
    assert str(Band(BandKind.ABOVE, Level(95, Unit.PERCENT))) == "above 95 %"


def test_limit_that_is_exactly_a_code_belongs_to_the_band():
    assert code_band(Band(BandKind.ABOVE, percent(100)), BT709).low == 235
