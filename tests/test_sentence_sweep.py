"""What is said of some of the bench's pictures is what a person would say, and agrees."""

import random

import pytest

from tests.sentence_sweep import FINE, KEY_NAME, PROFILES, UNIT, WRONG, cases, faults

ALL = list(cases())
PICKED = random.Random(12).sample(ALL, 6)


@pytest.mark.parametrize("number", range(len(PICKED)))
def test_nothing_is_said_that_no_one_would_say(number):
    assert faults(PICKED[number], PROFILES[number % len(PROFILES)]) == []


@pytest.mark.parametrize("words", ["in_band unknown: no profile", "dial_to is unknown", "NO_LIGHT"])
def test_names_of_json_are_found(words):
    assert KEY_NAME.search(words)


@pytest.mark.parametrize("words", ["±0.02 st", "41.1 %", "dial 3200 K", "mean ΔE00", "st off"])
def test_a_unit_is_seen(words):
    assert UNIT.search(words)
    assert not KEY_NAME.search(words)


def test_a_contradiction_is_found():
    # As 405a108 said of a card over the sensor's ceiling.
    said = "in tolerance: leave the balance as it is. Note: the card is clipped in red and green"
    assert FINE.search(said)
    assert WRONG.search(said)
    assert not WRONG.search("the brightest thing is clipped: there is no headroom left")
