"""A camera that clips below its curve's top, as every instrument that reads a card sees it.

Issue 11 item 5: a card a stop over the sensor's ceiling was "in tolerance" for balance, and match
made gains of it.
"""

import re
from dataclasses import replace

import numpy as np
import pytest

from firmware.feeds.base import FeedInfo
from firmware.instruments.advice.instrument import Advice
from firmware.instruments.asking import scene_of
from firmware.instruments.balance.instrument import Balance
from firmware.instruments.match.camera_a import MatchSettings
from firmware.instruments.match.instrument import MatchInstrument
from firmware.instruments.spot.instrument import Spot
from firmware.instruments.spot.object import object_of
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile
from overlays.measure.spot.spot import SpotPlace
from overlays.wording.reasons import Reason
from tests.clipped_frames import CEILINGS, MID_GREY, room, sensed, with_lamp
from tests.colour_frames import frame_of

CARD = SpotPlace(150, 290, 40)
LIGHT = np.array([1.6, 1.0, 0.5])
"""Of a light some 2400 K too warm for the dial."""


def scene(over, after=1.6, ceilings=CEILINGS):
    """A lamp that the camera cannot hold, and a card `over` stops above the ceiling of green."""
    light = with_lamp(room(), 0.02)
    light[260:320, 110:190] = LIGHT * ceilings[1] * 2.0**over
    frame = frame_of(sensed(light, ceilings), "S-Log3", 10, after)
    info = FeedInfo("made", "by hand", frame.columns, frame.rows, frame.signal, 25.0)
    made = scene_of(frame, read_with(load_profile("log-s3"), info), ())
    return replace(made, place=CARD, spot=made.read(CARD))


@pytest.mark.parametrize("over", [1.0, 6.0])
@pytest.mark.parametrize("after", [0.0, 1.6])
def test_balance_refuses_a_card_over_the_ceiling(over, after):
    balance = Balance()
    made = scene(over, after)
    answer = balance.measure(made, balance.settings(made.profile, 25.0), balance.memory())
    # Blue, the weakest under this light, may give out as well.
    named = r"the card is clipped in red(, green and blue| and green), so its colour is lost"
    assert re.match(named, answer.reading.refusal)


def test_balance_reads_a_card_beneath_it():
    balance = Balance()
    made = scene(-3.0)
    answer = balance.measure(made, balance.settings(made.profile, 25.0), balance.memory())
    assert answer.reading.refusal is None


def test_match_leaves_a_card_over_the_ceiling_out():
    match, made = MatchInstrument(), scene(1.0)
    answer = match.measure(made, MatchSettings(taken=1), match.memory())
    (pair,) = answer.compared.match.pairs
    assert "clipped" in pair.why_not
    assert answer.compared.match.exposure_stops is None


def test_advice_takes_light_off_instead_of_a_number():
    advice, made = Advice(), scene(1.0)
    answer = advice.measure(made, advice.settings(made.profile, 25.0), None)
    assert (answer.off_stops, answer.why) == (None, Reason.CLIPPED)
    assert any("found from the picture" in each for each in answer.warnings)


def test_read_says_where_the_clip_is_and_that_it_was_found():
    spot, made = Spot(), scene(1.0)
    answer = spot.measure(made, None, None)
    assert answer.spots[0].clipped_rgb[:2] == pytest.approx((1.0, 1.0), abs=0.1)  # noise came after
    assert answer.range.headroom_stops == 0.0
    assert answer.range.clipped_rgb[1] > 0.02
    said = object_of(answer).frame
    assert said is not None
    for clip, ceiling in zip((said.clip.r, said.clip.g, said.clip.b), CEILINGS, strict=True):
        assert clip.found
        assert clip.stops == pytest.approx(np.log2(ceiling / MID_GREY), abs=0.05)
    words = " ".join(str(line) for line in spot.lines(answer))
    assert "by a clip found from the picture" in words
