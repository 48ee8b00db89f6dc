"""Codes that pair, and what becomes of wrong ones."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.clock import HandClock
from firmware.page.pairing import FIGURES, LOCKED_NS, MOST_TRIES, OPEN_NS, Outcome, Pairing, spelt

SECOND = 1.0


def pairing(*codes, fixed=""):
    clock = HandClock()
    left = iter(codes)
    return Pairing(clock, fixed, lambda: next(left)), clock


def tries(made, clock, code, count):
    out = []
    for _ in range(count):
        clock.move(SECOND)
        out.append(made.tried(code))
    return out


def test_the_code_that_is_shown_pairs_once():
    made, clock = pairing("12345678")
    made.open()
    assert made.shown == "1234 5678"
    assert made.tried("1234-5678") is Outcome.PAIRED
    assert made.shown == ""
    clock.move(SECOND)
    assert made.tried("12345678") is Outcome.CLOSED


def test_nobody_pairs_before_a_code_was_asked_for():
    assert pairing()[0].tried("12345678") is Outcome.CLOSED


def test_five_wrong_codes_lock_out_the_right_one_too_and_a_new_one_is_drawn():
    made, clock = pairing("11111111", "22222222")
    made.open()
    said = tries(made, clock, "99999999", MOST_TRIES)
    assert said == [Outcome.WRONG] * (MOST_TRIES - 1) + [Outcome.LOCKED]
    assert made.shown == ""
    assert tries(made, clock, "11111111", 2) == [Outcome.LOCKED] * 2
    assert tries(made, clock, "22222222", 1) == [Outcome.LOCKED]
    clock.move(LOCKED_NS / 1e9)
    assert made.shown == "2222 2222"
    assert made.tried("11111111") is Outcome.WRONG
    clock.move(SECOND)
    assert made.tried("22222222") is Outcome.PAIRED


def test_a_code_of_the_preset_is_locked_out_as_well_and_stays():
    made, clock = pairing(fixed="kit-b 2026")
    assert tries(made, clock, "kit-a 2026", MOST_TRIES)[-1] is Outcome.LOCKED
    assert tries(made, clock, "kit-b 2026", 1) == [Outcome.LOCKED]
    clock.move(LOCKED_NS / 1e9)
    assert tries(made, clock, "KITB2026", 2) == [Outcome.PAIRED] * 2
    assert made.shown == ""  # it is told to nobody


def test_tries_are_a_second_apart_and_one_that_came_too_soon_is_no_try():
    made, clock = pairing("12345678")
    made.open()
    assert made.tried("0") is Outcome.WRONG
    assert {made.tried("12345678") for _ in range(10)} == {Outcome.TOO_SOON}
    clock.move(SECOND)
    assert made.tried("12345678") is Outcome.PAIRED


def test_a_code_that_was_asked_for_is_over_after_a_while_and_one_for_good_is_not():
    made, clock = pairing("12345678", "87654321")
    made.open()
    clock.move(OPEN_NS / 1e9)
    assert (made.shown, made.tried("12345678")) == ("", Outcome.CLOSED)
    made.open(for_ns=None)
    clock.move(1e6)
    assert made.tried("87654321") is Outcome.PAIRED


def test_closing_takes_the_code_back():
    made, _ = pairing("12345678")
    made.open()
    made.close()
    assert (made.shown, made.tried("12345678")) == ("", Outcome.CLOSED)


def test_drawn_codes_are_figures_of_one_length_and_differ():
    clock = HandClock()
    drawn = {Pairing(clock).open() for _ in range(50)}
    assert len(drawn) > 45
    assert {len(code) for code in drawn} == {FIGURES}
    assert all(code.isdigit() for code in drawn)


@given(st.text(max_size=60))
def test_whatever_is_typed_only_the_code_pairs(text):
    made, _ = pairing("12345678")
    made.open()
    is_right = spelt(text) == "12345678"
    assert (made.tried(text) is Outcome.PAIRED) is is_right


@pytest.mark.parametrize("shape", ["12345678", "1234 5678", " 1234-5678 ", "1234.5678"])
def test_what_people_put_between_figures_does_not_matter(shape):
    assert spelt(shape) == "12345678"
