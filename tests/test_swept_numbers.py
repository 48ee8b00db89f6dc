"""Numbers that no answer may have are found, and those that it may have pass."""

import pytest

from tests.swept_numbers import faults_of_object, faults_of_words


@pytest.mark.parametrize(
    ("value", "fault"),
    [
        ({"stops": 2.4, "stops_pm": 0.01, "at_least": True}, ".stops_pm beside at_least"),
        ({"stops": -7.0, "stops_pm": 0.01, "at_most": True}, ".stops_pm beside at_most"),
        (
            {"brightest": 6.0, "brightest_pm": 0.1, "brightest_at_least": True},
            ".brightest_pm beside brightest_at_least",
        ),
        (
            {"rgb_stops_pm": [0.1, None, None], "rgb_at_least": [True, False, False]},
            ".rgb_stops_pm of R beside rgb_at_least",
        ),
        ({"clipped": 1.0, "percent_pm": 0.2}, ".percent_pm of what is clipped"),
        ({"stops": -58.0}, ".stops of -58.0"),
        ({"map_stops": [[0.1, 21.0]]}, ".map_stops of 21.0"),
        ({"headroom": 33.0}, ".headroom of 33.0"),
    ],
)
def test_a_number_that_may_not_be_is_named_with_its_place(value, fault):
    assert list(faults_of_object({"spots": [value]})) == [
        f"spots[0]{fault}" if fault.startswith(".") else fault
    ]


def test_bounds_without_a_pm_and_numbers_with_one_pass():
    bound = {"stops": 2.4, "stops_pm": None, "at_least": True, "at_most": False, "percent": 91.0}
    known = {"stops": 2.4, "stops_pm": 0.01, "at_least": False, "clipped": 0.0}
    rgb = {"rgb_stops_pm": [None, 0.1, 0.1], "rgb_at_least": [True, False, False]}
    assert list(faults_of_object({"spots": [bound, known, rgb], "cct": 5600.0})) == []


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("at least +2.38 ± 0.01 st", "a bound with a ±: at least +2.38 ±"),
        ("≥+2.38 st ±0.01", "a bound with a ±: ≥+2.38 st ±"),
        ("footroom −53.2 stops", "−53.2 stops"),
        ("headroom inf", "no number: inf"),
        ("−nan st", "no number: −nan"),
    ],
)
def test_words_that_no_one_would_say_are_found(text, fault):
    assert list(faults_of_words(text)) == [fault]


def test_words_that_may_be_said_pass():
    said = "at least +2.38 st; 0.53 ± 0.02 stops above it; the information of a final card"
    assert list(faults_of_words(said)) == []
