"""What the target says beside the picture."""

import numpy as np
import pytest

from firmware.instruments.target.report import farthest_words, happened_words
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.expose.excursions import Excursions
from overlays.measure.expose.side import Goal, Judgement, Side, judge
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent
from overlays.wording.numbers import UNKNOWN
from overlays.wording.reasons import Bound
from tests.colour_frames import card, frame_of


def test_how_far_it_was_off_is_a_number_of_stops_or_said_not_to_be_known():
    assert farthest_words(Excursions(farthest_stops=0.8, farthest_pm=0.05)) == "+0.80 st"
    assert farthest_words(Excursions()) == UNKNOWN


def judged(light, before):
    """Of a spot of so much light, a card filling a picture; ITU-R BT.709 gives out at 0.18 * 2^2.5.

    Light of `light` stops above mid-grey, encoded by colour-science.
    """
    frame = frame_of(card([0.18 * 2.0**light] * 3), "BT.709", 10, noise=0.5)
    frame.planes[0][:] = np.minimum(frame.planes[0], 940)
    yard = yardstick(frame.signal, published_curve("BT.709"), clip=percent(100.0))
    return judge(read_spot(frame, yard, SpotPlace(32, 32, 32)), Goal(), yard, before)


def day(*lights):
    """(the last judgement, what has happened) after a day of such light."""
    past, last = Excursions(), Judgement()
    for now, light in enumerate(lights):
        last = judged(light, past.side)
        past = past.after(last, now)
    return last, past


def test_of_what_was_clipped_while_it_was_out_it_says_at_least():
    # It was 9 stops over, and "+2.72 st at most" was said of it.
    said = happened_words(*day(0.0, 9.0, 0.0))
    assert said == "was out once, last over, at least +2.5 st at its farthest"


def test_of_what_could_be_read_it_says_how_far_it_was():
    last, past = day(0.0, 1.0, 0.0)
    assert past.farthest_stops == pytest.approx(1.0, abs=0.02)
    said = happened_words(last, past)
    assert said == f"was out once, last over, {past.farthest_stops:+.2f} st at its farthest"


def test_a_dark_one_that_was_cut_off_was_at_most_that_bright():
    past = Excursions(Side.IN, 1, Side.UNDER, farthest_stops=-7.76, farthest_bound=Bound.AT_MOST)
    assert farthest_words(past) == "at most −7.8 st"
