import numpy as np
import pytest

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.match.match import Match, Pair, compare, pair_of
from overlays.measure.match.match_words import balance_words, exposure_words, match_words
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal, Subsampling
from tests.colour_frames import card, frame_of


def pair(rgb_stops=(0.1, 0.1, 0.1)):
    return Pair(None, None, rgb_stops, None, None)


def made(*pairs, **how):
    usual = {
        "exposure_stops": 0.0,
        "exposure_pm": 0.02,
        "r_stops": 0.0,
        "b_stops": 0.0,
        "balance_pm": 0.02,
        "worst_stops": 0.01,
    }
    return Match(pairs=pairs, **{**usual, **how})


def of_a_grey(curve, stops, darker_by):
    """One grey pin through 8 bits without noise, on A and on a B that is darker."""
    yard = yardstick(Signal(bits=8, subsampling=Subsampling.S444), published_curve(curve))
    readings = []
    for light in 0.18 * 2.0 ** np.array([stops, stops - darker_by]):
        frame = frame_of(card([light] * 3), curve, 8)
        readings.append(read_spot(frame, yard, SpotPlace(32, 32, 48)))
    return compare([pair_of(*readings)])


def test_nothing_to_do():
    assert match_words(made())[0] == "B agrees with A in exposure and balance"


def test_what_is_too_unsure_is_no_agreement():
    """B was darker by 0.2 stops and was said to agree, at 0.00 ±0.21."""
    said = {
        how: match_words(made(exposure_pm=how[0], balance_pm=how[1]))[0]
        for how in [(0.1, 0.1), (0.21, 0.1), (0.1, 0.43), (0.21, 0.43), (None, 0.1)]
    }
    assert list(said.values()) == [
        "B agrees with A in exposure and balance",
        "no difference seen: exposure ±0.21 st",
        "no difference seen: balance ±0.43 st",
        "no difference seen: exposure ±0.21 st, balance ±0.43 st",
        "no difference seen: exposure ± ? st",
    ]
    lost = Pair(None, None, None, None, None, "on camera A it is too dark")
    of_one = match_words(made(pair(), lost, balance_pm=0.43))[0]
    assert of_one == "no difference seen at 1 of 2 pins: balance ±0.43 st"


def test_what_one_move_leaves_unsure_is_said_beside_it():
    move, _, other = match_words(made(exposure_stops=0.5, exposure_pm=0.21, balance_pm=0.43))
    assert move == "open B by 0.50 st"
    assert other == "otherwise no difference seen: balance ±0.43 st"
    sure = match_words(made(exposure_stops=0.5, exposure_pm=0.21, balance_pm=0.02))
    assert not any("no difference" in each for each in sure)


@pytest.mark.parametrize("curve", ["S-Log3", "BT.709"])
def test_a_camera_that_is_darker_than_may_be_called_agreement_is_not_said_to_agree(curve):
    """0.2 stops are less than a code in the dark of 8 bits: 0.00 ±0.21 was said to agree."""
    agreed = {
        by: [
            match_words(of_a_grey(curve, stops, by))[0].startswith("B agrees")
            for stops in np.arange(-5.5, 0.6, 0.25)
        ]
        for by in (0.0, 0.16, 0.2)
    }
    assert any(agreed[0.0])
    assert not any([*agreed[0.16], *agreed[0.2]])


def test_agreement_counts_the_pins_that_say_so():
    """It stood beside "pin 3: on camera A it is too dark" as if that one agreed too."""
    lost = Pair(None, None, None, None, None, "on camera A it is too dark")
    assert match_words(made(pair(), pair(), lost))[0].endswith("balance at 2 of 3 pins")
    assert match_words(made(pair(), pair()))[0].endswith("balance")


def test_exposure():
    assert exposure_words(made(exposure_stops=0.7)) == "open B by 0.70 st"
    assert exposure_words(made(exposure_stops=-0.7)) == "close B by 0.70 st"
    assert exposure_words(made(exposure_stops=None)) == "unknown"


def test_balance_by_kelvin_or_by_gain():
    assert balance_words(made(r_stops=0.3, dial_to=5600.0, tint=2.0)) == (
        "dial B to 5600 K, tint 2.0 thousandths to magenta"
    )
    assert balance_words(made(r_stops=0.3, dial_to=5600.0, tint=-0.1)) == "dial B to 5600 K"
    assert balance_words(made(r_stops=0.3, dial_to=5600.0, dial_pm=80.0)) == "dial B to 5600 ±80 K"
    assert balance_words(made(r_stops=0.3, b_stops=-0.2)) == "give B red +0.30 st, blue -0.20 st"
    assert balance_words(made(r_stops=None)) == "unknown"


def test_balance_comes_first():
    found = match_words(made(r_stops=0.3, dial_to=5600.0, tint=0.0, exposure_stops=0.7))
    assert found[0] == "dial B to 5600 K, then open B by 0.70 st"
    assert "match again" in found[-1]


def test_no_pin():
    assert match_words(made(exposure_stops=None)) == ("no pin can be compared",)


def test_what_remains_is_told_of_the_pins_that_count():
    assert match_words(made(pair(), pair(None)))[1].endswith("in any channel of the pin")
    assert match_words(made(pair(), pair()))[1].endswith(
        "at most 0.01 st remains in any channel of 2 pins"
    )
