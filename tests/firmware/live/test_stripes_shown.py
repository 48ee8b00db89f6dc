"""Stripes in words, and where the camera clips beneath them."""

import pytest

from firmware.live.stripes_shown import band_words, stripe_shown
from overlays.measure.counting.bands import Band, BandKind, around
from overlays.measure.counting.census import take_census
from overlays.measure.counting.clip import FlatTop
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent, stops
from tests.colour_frames import card, frame_of


def test_bands_are_worded_with_a_true_minus_and_short_thirds():
    assert band_words(around(stops(-1.0 / 3.0), stops(0.2))) == "−0.33 st ± 0.2 st"
    assert band_words(Band(BandKind.ABOVE, percent(95.0))) == "above 95 %"
    assert band_words(around(stops(-0.001), stops(0.2))) == "0 st ± 0.2 st"


@pytest.mark.parametrize("at", [percent(95.0), stops(6.0)])
def test_a_stripe_above_the_clip_that_was_found_begins_there(at):
    # Issue 11 item 5: with the sensor's ceiling below the stripe nothing was striped.
    linear = 0.18 * 2.0**4
    frame = frame_of(card([linear] * 3), "S-Log3")
    yard = yardstick(frame.signal, published_curve("S-Log3"))
    band, census = Band(BandKind.ABOVE, at), take_census(frame, yard)
    assert stripe_shown(band, yard, census).share == 0.0
    level = 100.0 * float(yard.carried.nominal(linear))
    shown = stripe_shown(band, yard.under(FlatTop((level,) * 3, 0.2)), census)
    assert shown.share == 1.0
    assert shown.words.endswith("clip found")
