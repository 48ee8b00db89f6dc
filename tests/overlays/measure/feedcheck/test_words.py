import numpy as np
import pytest

from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.readings import CodeReading, What
from overlays.measure.feedcheck.verdict import check_feed
from overlays.measure.feedcheck.words import (
    NEXT_WORDS,
    RANGE_WORDS,
    advice_words,
    delivery_words,
    verdict_words,
    wrong_words,
)
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Range

NOW = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
FULL = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.FULL)


def checked(truth, more=True, now=NOW):
    def code(linear):
        return CodeReading(float(truth.codes(np.array([linear]), 10)[0]), 0.2)

    readings = {What.CAP: code(0.0), What.CARD: code(0.18), What.CLIP: code(0.18 * 2.0**2.6)}
    if more:
        readings |= {What.WHITE: code(0.9), What.DARK: code(0.18 / 16)}
    return check_feed(readings, 10, now)


def test_full_range_read_as_limited_is_said_with_what_it_costs():
    found = checked(FULL)
    said = verdict_words(found, NOW)
    assert "it is full range and is read as limited range" in said
    # -0.03 at mid-grey, +0.25 at white, nothing at four stops below: measured beforehand.
    assert "mid-grey reads 0.03 st too dark" in said
    assert "a white chip 0.25 st too bright" in said
    assert "four stops below mid-grey not at all" in said
    assert any("profile-out" in each for each in advice_words(found, NOW))


def test_what_is_read_as_it_is_is_said_to_be():
    found = checked(NOW)
    assert verdict_words(found, NOW).startswith("the feed is what it is read as: BT.709")
    assert wrong_words(found, NOW) is None


def test_a_tie_names_what_is_possible_and_asks():
    found = checked(Delivery(published_curve("Canon Log"), Carriage.FULL, Range.LIMITED), False)
    words = " ".join(advice_words(found, NOW))
    assert "Canon Log" in words
    assert NEXT_WORDS[What.WHITE] in words
    assert "do not fit how the feed is read now" in verdict_words(found, NOW)


def test_a_carriage_alone_is_named_as_that():
    narrow = Delivery(published_curve("V-Log"), Carriage.NARROW, Range.LIMITED)
    full = Delivery(published_curve("V-Log"), Carriage.FULL, Range.LIMITED)
    said = wrong_words(checked(narrow, now=full), full)
    assert said is not None
    assert said.startswith("its carriage is narrow and is read as full")


@pytest.mark.parametrize("each", list(Range))
def test_every_range_has_words(each):
    assert RANGE_WORDS[each] in delivery_words(Delivery(NOW.curve, Carriage.FULL, each))
