"""Reasons and bounds: every one has its words, and bounds of a difference by arithmetic."""

from itertools import combinations, product

import pytest

from overlays.wording.reasons import Bound, Reason, bound_of_difference


def test_every_reason_has_words_of_its_own():
    said = [reason.words for reason in Reason]
    assert len(set(said)) == len(said)
    for words in said:
        assert words
        assert "_" not in words  # no name of a key
        assert not words.endswith(".")


def test_no_reason_takes_the_words_of_another_into_its_mouth():
    """What is clipped is never called dark, and the other way round: the fault this ends."""
    for one, other in combinations((Reason.CLIPPED, Reason.NO_LIGHT, Reason.OUT_OF_REACH), 2):
        assert one.words not in other.words
        assert other.words not in one.words


RANGES = {None: (0.0, 0.0), Bound.AT_LEAST: (0.0, 9.0), Bound.AT_MOST: (-9.0, 0.0)}
"""How far the truth may lie from the number, either way."""


@pytest.mark.parametrize(("first", "second"), list(product(RANGES, RANGES)))
def test_a_difference_is_bounded_as_its_parts_allow(first, second):
    low = RANGES[first][0] - RANGES[second][1]
    high = RANGES[first][1] - RANGES[second][0]
    wanted = {
        (False, False): None,
        (False, True): Bound.AT_LEAST,
        (True, False): Bound.AT_MOST,
        (True, True): Reason.BOTH_BOUNDS,
    }[low < 0.0, high > 0.0]
    assert bound_of_difference(first, second) is wanted
