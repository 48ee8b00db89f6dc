"""What is said of a balance."""

from dataclasses import replace

import numpy as np
import pytest

from overlays.measure.balance.balance import BalanceReading, BalanceSettings, read_balance
from overlays.measure.balance.balance_advice import (
    advice,
    dial_doubt,
    paper_span,
    paper_words,
    tint_advice,
    tint_words,
)
from overlays.measure.colour.whitepoint import WhitePoint
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from tests.colour_frames import adapted, card, frame_of, light_xyz, to_rgb

D65 = light_xyz(6504.3, 0.00321)


def said(linear, dial=None):
    frame = frame_of(card(linear), noise=0.7)
    settings = BalanceSettings(published_gamut("BT.709"), dial)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    return advice(read_balance(frame, yard, SpotPlace(32, 32, 60), settings), settings)


def shown(kelvin, duv, dial):
    rgb = to_rgb(adapted(light_xyz(kelvin, duv), light_xyz(dial, 0.0), D65), "BT.709")
    return 0.4 * rgb / rgb.max()


def test_what_to_dial_which_tint_and_which_sheet():
    first, second = said(shown(5000.0, 0.006, 5600.0), WhitePoint(5600.0, 0.0))
    assert first.startswith(("dial 50", "dial 499"))
    assert "(now 5600 K) and tint 6 towards magenta" in first
    assert second.startswith("or put 1/8 CTB on the light (-18 mired of -2")


def test_a_large_step_is_to_be_read_again():
    (first, _) = said(shown(5600.0, 0.0, 3200.0), WhitePoint(3200.0, 0.0))
    assert "read again" in first


def test_a_dial_that_stays_is_not_dialled_again():
    # The issue: "Dial 3200 K (now 3200 K)" where tint alone is off.
    (first, *_) = said(shown(3200.0, 0.006, 3200.0), WhitePoint(3200.0, 0.0))
    assert first == "leave 3200 K and set tint 6 towards magenta"


def test_paper_is_said_beside_a_reading_and_a_refusal_has_none():
    frame = frame_of(card(shown(5600.0, 0.0, 5600.0)), noise=0.7)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    settings = BalanceSettings(published_gamut("BT.709"), WhitePoint(5600.0, 0.0))
    reading = read_balance(frame, yard, SpotPlace(32, 32, 60), settings)
    assert "cream paper reads up to 9" in paper_words(reading)
    assert paper_span(reading).startswith("−9")
    refused = BalanceReading(reading.spot, refusal="clipped")
    assert paper_words(refused) == paper_span(refused) == ""


def test_in_tolerance_says_only_that():
    assert said([0.3, 0.3, 0.3], WhitePoint(5600.0, 0.0)) == (
        "in tolerance: leave the balance as it is",
    )


def test_without_a_dial_it_is_asked_for():
    assert "say what the camera's balance is set to" in said(shown(5000.0, 0.0, 5600.0))[0]


def test_a_refusal_is_all_there_is_to_say():
    (only,) = said([1.3, 0.4, 0.4])
    assert "clipped in red" in only


@pytest.mark.parametrize(
    ("tint", "words"),
    [(0.4, ""), (-0.9, ""), (4.6, "tint 5 towards magenta"), (-4.6, "tint 5 towards green")],
)
def test_tint_in_words(tint, words):
    assert tint_words(tint) == words


def reading_of(dial, dial_to, mired_pm, off=0.1):
    """A reading of a card whose light is known to so many mired, under a dial."""
    frame = frame_of(card([0.3, 0.3, 0.3]))
    yard = yardstick(frame.signal, published_curve("BT.709"))
    settings = BalanceSettings(published_gamut("BT.709"), WhitePoint(dial, 0.0))
    spot = read_balance(frame, yard, SpotPlace(32, 32, 60), settings).spot
    wide = 1e6 / (1e6 / dial_to - mired_pm) - dial_to
    return BalanceReading(
        spot,
        off_neutral=off,
        in_tolerance=False,
        dial_to=dial_to,
        dial_to_pm=wide,
        dial_to_cameras=wide,
        tint=0.0,
        mired_shift=1e6 / dial - 1e6 / dial_to,
        mired_shift_pm=mired_pm,
    ), settings


def test_a_light_far_off_is_dialled_however_lopsided_its_doubt_is_in_kelvin():
    # 9024 K known to 63 mired are 5750 to 20900 K. It was "leave 3200 K: what is off is less than
    # the ±" of a card 0.12 off neutral, and "9024 ±11644 K".
    reading, settings = reading_of(3200.0, 9024.0, 63.0)
    (first,) = advice(reading, settings)
    low, high = 1e6 / (1e6 / 9024.0 + 63.0), 1e6 / (1e6 / 9024.0 - 63.0)
    assert dial_doubt(reading) == f"{10 * round(low / 10)} to {10 * round(high / 10)} K"
    assert first.startswith(
        "dial 9020 K (now 3200 K), then read again: over such a step cameras may want 57"
    )
    assert "less than the ±" not in first


def test_a_doubt_without_an_upper_end_says_so_and_a_small_one_is_a_half_width():
    assert dial_doubt(reading_of(3200.0, 9024.0, 90.0)[0]).endswith("K or more")
    assert dial_doubt(reading_of(3200.0, 5600.0, 2.0)[0]) == "±70 K"


def test_within_its_own_doubt_a_dial_stays():
    (first,) = advice(*reading_of(5600.0, 5500.0, 5.0))
    assert first == "leave 5600 K: what is off is less than the ±"


def test_a_card_that_is_known_too_badly_is_not_called_in_tolerance():
    # It was "in tolerance: leave the balance as it is" beside "the ± is wider than the tolerance".
    frame = frame_of(card([0.008, 0.008, 0.008]), bits=8, noise=3.0)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    settings = BalanceSettings(published_gamut("BT.709"), WhitePoint(5600.0, 0.0))
    reading = read_balance(frame, yard, SpotPlace(32, 32, 8), settings)
    assert reading.off_neutral_pm > settings.tolerance
    reading = replace(reading, in_tolerance=True)
    assert advice(reading, settings) == (
        "no cast can be seen, but the ± is wider than the tolerance",
    )
    assert not reading.is_sure


@pytest.mark.parametrize("curve", ["BT.709", "S-Log3", "LogC4"])
@pytest.mark.parametrize("stops", [-2.0, -3.5, -4.5])
def test_nothing_is_advised_beside_a_pm_that_denies_it(curve, stops):
    # It was "leave 5600 K and set tint 3 towards magenta; or put 1/8 CTB on the light" of a card
    # read 11 ±12 mired and 3.4 ±4.2 thousandths off.
    settings = BalanceSettings(published_gamut("BT.709"), WhitePoint(5600.0, 0.0))
    denied = 0
    for rgb in ((1.0, 1.06, 1.06), (0.94, 1.06, 1.06), (0.97, 1.08, 1.06), (1.06, 1.12, 1.0)):
        frame = frame_of(card(0.18 * 2.0**stops * np.array(rgb)), curve, bits=8)
        yard = yardstick(frame.signal, published_curve(curve))
        reading = read_balance(frame, yard, SpotPlace(32, 32, 60), settings)
        said = "; ".join(advice(reading, settings))
        if abs(reading.mired_shift) <= reading.mired_shift_pm:
            denied += 1
            assert reading.sheet is None
            assert "on the light" not in said
            assert "dial" not in said
            if abs(reading.tint) <= reading.tint_pm:
                assert "tint" not in said
                assert (
                    reading.in_tolerance or said == "leave 5600 K: what is off is less than the ±"
                )
    assert denied  # else nothing was shown


def test_a_tint_within_its_pm_is_no_advice_but_for_a_step_that_is_read_again():
    reading, settings = reading_of(5600.0, 5500.0, 5.0)
    doubted = replace(reading, tint=3.4, tint_pm=4.2)
    assert tint_advice(doubted) == ""
    assert advice(doubted, settings) == ("leave 5600 K: what is off is less than the ±",)
    sure = replace(reading, tint=3.4, tint_pm=2.0)
    assert advice(sure, settings) == ("leave 5600 K and set tint 3 towards magenta",)
    # No kelvin are off at all: what is not seen is the tint.
    none = replace(doubted, dial_to=5600.0, mired_shift=0.0)
    assert advice(none, settings) == ("leave 5600 K: what is off is less than the ±",)
    far, settings = reading_of(3200.0, 5600.0, 40.0)
    (words,) = advice(replace(far, tint=5.0, tint_pm=13.0), settings)
    assert "and tint 5 towards magenta, then read again" in words
