from overlays.measure.match.match import Match, Pair
from overlays.measure.match.match_words import balance_words, exposure_words, match_words


def pair(rgb_stops=(0.1, 0.1, 0.1)):
    return Pair(None, None, rgb_stops, None, None)


def made(*pairs, **how):
    usual = {"exposure_stops": 0.0, "r_stops": 0.0, "b_stops": 0.0, "worst_stops": 0.01}
    return Match(pairs=pairs, **{**usual, **how})


def test_nothing_to_do():
    assert match_words(made())[0] == "B agrees with A in exposure and balance"


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
