"""What is said of some of the bench's pictures is what a person would say, and agrees."""

import random

import pytest

from tests.sentence_sweep import (
    FINE,
    KEY_NAME,
    KEYBOARD,
    UNIT,
    WATCHED_EVERY,
    WRONG,
    Said,
    cases,
    faults,
    read_through,
)

ALL = list(enumerate(cases()))
PICKED = random.Random(12).sample(ALL, 10)
EVERYTHING = {"spot", "advice", "balance", "chips", "pins", "match", "watch", "chart"}


def test_nothing_is_said_that_no_one_would_say():
    numbers = [WATCHED_EVERY * (number // WATCHED_EVERY) for number, _ in PICKED[:2]]
    numbers += [number for number, _ in PICKED[2:]]
    feeds = [ALL[number][1] for number in numbers]
    heard, found = set(), []
    for about, said in read_through(feeds, numbers):
        heard.add(said.where.removeprefix("view ").removeprefix("command "))
        found += [f"{about}: {fault}" for fault in faults(said)]
    assert found == []
    assert heard >= EVERYTHING


@pytest.mark.parametrize("words", ["in_band unknown: no profile", "dial_to is unknown", "NO_LIGHT"])
def test_names_of_json_are_found(words):
    assert KEY_NAME.search(words)


@pytest.mark.parametrize("words", ["±0.02 st", "41.1 %", "dial 3200 K", "mean ΔE00", "st off"])
def test_a_unit_is_seen(words):
    assert UNIT.search(words)
    assert not KEY_NAME.search(words)


@pytest.mark.parametrize(
    "words",
    [
        "show camera A and press M: its pins are kept",
        "M marks the light as it is now",
        "N sets a pin where the spot is",
        "tab chooses a corner, arrows move it, C looks for the chart",
    ],
)
def test_keys_that_a_unit_may_not_have_are_found(words):
    # As 405a108 said them.
    assert KEYBOARD.search(words)


@pytest.mark.parametrize(
    ("main", "text", "fault"),
    [
        ("match | 0.70 ", "", "a number without its unit"),
        ("balance | OK 0.0003 u'v'", "in_band unknown", "the key name in_band"),
        ("watch | – – ", "M marks the light as it is now", "a key of a keyboard: M marks"),
    ],
)
def test_what_is_wrong_is_named(main, text, fault):
    (said,) = faults(Said("view x", main, text))
    assert said.startswith(f"view x: {fault}")


def test_a_contradiction_is_found():
    # As 405a108 said of a card over the sensor's ceiling.
    said = "in tolerance: leave the balance as it is. Note: the card is clipped in red and green"
    assert FINE.search(said)
    assert WRONG.search(said)
    assert faults(Said("view balance", "", said)) == [
        "view balance: 'in tolerance' beside 'card is clipped'"
    ]
    assert not WRONG.search("the brightest thing is clipped: there is no headroom left")
