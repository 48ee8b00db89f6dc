"""Three chips in sentences."""

import colour
import numpy as np
import pytest

from overlays.measure.chips.chip_words import advice_of, chip_words
from overlays.measure.chips.three_chip import read_chips, usual_targets
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import read_spot
from overlays.signal.curves import Family
from overlays.signal.published import published_curve
from overlays.wording.reasons import Bound
from tests.colour_frames import card, frame_of
from tests.overlays.measure.chips.test_three_chip import PLACES, RIGHT, exposed, judge, logged


def test_a_verdict_in_words_begins_with_what_to_do():
    assert chip_words(judge(RIGHT)) == ("all three chips are where they belong",)
    confused = judge([0.4, 0.9, 0.02])
    assert chip_words(confused) == confused.warnings
    dark = judge(exposed(RIGHT, -0.7))
    first, *others = chip_words(dark)
    assert first == advice_of(dark.explanations[0])
    assert all(words.startswith("it may also be this: ") for words in others)
    assert len(others) <= 2


@pytest.mark.parametrize("bits", [8, 10])
def test_what_cannot_be_told_of_a_chip_is_said_with_its_name(bits):
    off = logged(0.0, "LogC4", bits, 4.0)
    assert off.chips[2].off > 0.6
    assert chip_words(off) == ("the black chip is off, within what its ± allows for",)
    perhaps = logged(-1.0, "N-Log", bits, 3.0)
    assert abs(perhaps.chips[2].off) < 0.6
    (words,) = chip_words(perhaps)
    assert words == "whether the black chip is off cannot be told: its ± reaches out of tolerance"


def test_a_black_that_is_cut_off_is_neither_off_nor_advised_on():
    # It was "close the lens by 0.00 st" and "a reflection lifts the black chip by 0.0 %".
    light = colour.models.oetf_inverse_BT709(RIGHT)
    frame = frame_of(np.concatenate([card([v] * 3, 48, 48) for v in light], axis=1), noise=12.0)
    np.maximum(frame.planes[0], 64, out=frame.planes[0])  # nothing below black is sent
    yard = yardstick(frame.signal, published_curve("BT.709"))
    spots = {chip: read_spot(frame, yard, place) for chip, place in PLACES.items()}
    verdict = read_chips(spots, usual_targets(Family.STANDARD), yard)
    assert verdict.chips[2].bound is Bound.AT_MOST
    assert verdict.in_tolerance is None
    assert not verdict.is_alarming
    assert chip_words(verdict) == (
        "whether the black chip is off cannot be told: it is cut off below",
    )


@pytest.mark.parametrize("noise", [0.8, 4.0, 12.0])
@pytest.mark.parametrize("wrong", [-0.03, -0.02, -0.016, 0.016, 0.02, 0.03])
@pytest.mark.parametrize("chip", [0, 1, 2])
def test_no_advice_is_of_nothing(chip, wrong, noise):
    levels = RIGHT.copy()
    levels[chip] += wrong
    for words in chip_words(judge(levels, noise=noise)):
        assert "by 0.00 st" not in words
        assert "by 0.0 %" not in words
        assert "power 1.00" not in words
