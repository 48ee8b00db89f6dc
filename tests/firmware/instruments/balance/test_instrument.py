"""Balance: the walk on the bench, its few controls, and its ghost."""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.actions import Press
from firmware.clock import HandClock
from firmware.errors import ArgumentError, QuantityError
from firmware.instruments.asking import Opener
from firmware.instruments.balance import BalanceOptions
from firmware.instruments.balance.instrument import (
    INSTRUMENT,
    LEAST_DIAL,
    MOST_DIAL,
    Balance,
    BalanceView,
)
from firmware.instruments.contract import Around
from firmware.instruments.desk import Desk
from firmware.instruments.scene import Frames
from firmware.profiles.model import curve_alone
from overlays.draw.chroma.graticule import GAINS
from overlays.draw.moment.layers import ChromaShown, Ghost
from overlays.errors import SpotOutsideError
from overlays.measure.colour.whitepoint import WhitePoint
from overlays.measure.counting.census import Wants
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.published import published_curve
from tests.asking import asked

BENCH = "bench:size=960x540,signal=yuv444-10"
PROFILE = curve_alone(published_curve("BT.709"))
DAYLIGHT = WhitePoint(5600.0, 0.002)
BALANCE = Balance()


def through(*presses, dial=None, settings=None, desk=None):
    """Settings and desk after presses, on a profile with that dial."""
    settings, desk = settings or BalanceView(), desk or Desk()
    profile = dataclasses.replace(PROFILE, dial=dial)
    for press in presses:
        settings, desk = BALANCE.pressed(settings, press, Around(desk, profile, 1920))
    return settings, desk


# The command


@pytest.mark.parametrize("camera", ["", ",curve=V-Log,gamut=V-Gamut", ",curve=S-Log3"])
@pytest.mark.parametrize(("kelvin", "tint"), [(5600, 0), (5600, 6), (3200, -4)])
def test_off_advice_dial_in_tolerance(camera, kelvin, tint):
    light = f"{BENCH},kelvin={kelvin},tint={tint}{camera}"
    first = asked("balance", feed=f"{light},dial=4300", dial="4300")
    assert first["in_tolerance"] is False
    assert first["dial_to"] == pytest.approx(kelvin, abs=50 if kelvin == 5600 else 25)
    assert first["tint"] == pytest.approx(tint, abs=0.6)
    dial, turn = round(first["dial_to"], -1), round(first["tint"])
    set_so = f"{light},dial={dial},dial-tint={turn}"
    second = asked("balance", feed=set_so, dial=f"{dial:.0f}", tint=f"{turn}")
    assert second["in_tolerance"] is True
    assert second["advice"] == ["in tolerance: leave the balance as it is"]
    assert abs(second["mired_shift"]) < 2.0


def test_the_profile_can_hold_the_dial(tmp_path):
    path = tmp_path / "kit.toml"
    path.write_text('curve = "BT.709"\n[balance]\ndial = "4300 K"\ntolerance = "9 steps"\n')
    found = asked("balance", feed=f"{BENCH},kelvin=5600,dial=4300", profile=str(path))
    assert found["dial"] == 4300.0
    assert found["dial_to"] == pytest.approx(5600, abs=50)
    assert found["tolerance"] == pytest.approx(0.0099)


def test_a_tint_without_a_dial():
    with pytest.raises(ArgumentError, match="--tint"):
        asked("balance", feed=BENCH, tint="3")


@pytest.mark.parametrize("wrong", [{"dial": "warm"}, {"dial": "5600", "tint": "pink"}])
def test_a_setting_that_is_none_is_wrong_before_a_feed_is_opened(wrong):
    with pytest.raises(QuantityError):
        asked("balance", feed="/no/such/feed.mov", **wrong)


def test_a_spot_outside_is_refused():
    with pytest.raises(SpotOutsideError):
        asked("balance", feed=BENCH, at="9999,1")


def test_the_centre_is_read_where_no_spot_is_named():
    options = BalanceOptions(feed=BENCH, dial="5600")
    answer = INSTRUMENT.ask(options, Opener(HandClock()))
    assert answer.reading.spot.place == SpotPlace(480, 270, 24)
    assert answer.settings.dial == WhitePoint(5600.0, 0.0)
    assert answer.ghost is None


# Its controls


def test_the_gain_comes_round():
    seen = [through(*[Press.NEXT_STRIPE] * n)[1].gain for n in range(5)]
    assert seen == [*GAINS, GAINS[0]]


def test_the_dial_moves_by_hundreds_from_the_profiles():
    assert Desk().dial(DAYLIGHT) == DAYLIGHT
    _, up = through(Press.STRIPE_UP, dial=DAYLIGHT)
    assert up.dial(DAYLIGHT) == WhitePoint(5700.0, 0.002)
    _, odd = through(Press.STRIPE_DOWN, dial=WhitePoint(3240.0, 0.0))
    assert odd.dial(None).kelvin == 3100.0


def test_an_unknown_dial_starts_at_daylight():
    _, once = through(Press.STRIPE_DOWN)
    assert once.dial_kelvin == 5600.0
    assert through(Press.STRIPE_DOWN, desk=once)[1].dial_kelvin == 5500.0


@given(st.lists(st.sampled_from([Press.STRIPE_UP, Press.STRIPE_DOWN]), min_size=1, max_size=150))
def test_the_dial_stays_within_reason(presses):
    kelvin = through(*presses, dial=DAYLIGHT)[1].dial_kelvin
    assert LEAST_DIAL <= kelvin <= MOST_DIAL
    assert kelvin % 100.0 == 0.0


def test_a_ghost_is_kept_and_dropped():
    assert [through(*[Press.SET_REFERENCE] * n)[0].ghosts % 2 for n in range(3)] == [0, 1, 0]


OWN = {Press.SET_REFERENCE, Press.NEXT_STRIPE, Press.STRIPE_UP, Press.STRIPE_DOWN}


@pytest.mark.parametrize("press", [press for press in Press if press not in OWN])
def test_what_has_no_meaning_of_its_own_goes_on(press):
    assert BALANCE.pressed(BalanceView(), press, Around(Desk(), PROFILE, 1920)) is None


# On the screen


def test_it_has_one_view_and_wants_its_chroma():
    assert [view.name for view in BALANCE.views] == ["balance"]
    assert BALANCE.counts is Wants.CHROMA
    assert BALANCE.settings(PROFILE, 25.0) == BalanceView()


def test_the_chroma_trace_shows_dial_and_gain(scene):
    where = scene(dial=4300.0, gain=4)
    answer = BALANCE.measure(where, BalanceView(), BALANCE.memory())
    (chroma,) = BALANCE.layers(answer)
    assert isinstance(chroma, ChromaShown)
    assert chroma.gain == 4
    assert chroma.settings.dial == WhitePoint(4300.0, 0.0)
    assert chroma.settings.gamut.name == "BT.709"


def test_words_for_a_screen_without_a_picture(scene):
    answer = BALANCE.measure(scene(), BalanceView(), BALANCE.memory())
    assert BALANCE.words(answer)["balance"].startswith("OK 0.0")


def ghost_of(answer):
    return next((each for each in BALANCE.layers(answer) if isinstance(each, Ghost)), None)


def test_a_ghost_is_the_census_of_its_moment(scene):
    memory = BALANCE.memory()
    warm, cold = scene(",kelvin=3200,dial=5600"), scene(",kelvin=7500,dial=5600")
    assert ghost_of(BALANCE.measure(warm, BalanceView(), memory)) is None
    kept = ghost_of(BALANCE.measure(warm, BalanceView(ghosts=1), memory))
    assert (kept.chroma == warm.census.chroma).all()
    assert kept.chroma is not warm.census.chroma  # whose arrays are used again
    again = ghost_of(BALANCE.measure(cold, BalanceView(ghosts=1), memory))
    assert again is kept
    assert ghost_of(BALANCE.measure(cold, BalanceView(ghosts=2), memory)) is None


def test_a_held_frame_has_the_ghost_of_the_live_ones_and_takes_the_next(scene):
    memory = BALANCE.memory()
    warm, cold = ",kelvin=3200,dial=5600", ",kelvin=7500,dial=5600"
    ghost = ghost_of(BALANCE.measure(scene(warm), BalanceView(ghosts=1), memory))
    held = scene(cold, frames=Frames.HELD)
    assert ghost_of(BALANCE.measure(held, BalanceView(ghosts=1), memory)) is ghost
    # While it is held, a new ghost is of that frame, whichever is measured first.
    behind = scene(warm, is_shown=False)
    assert ghost_of(BALANCE.measure(behind, BalanceView(ghosts=3), memory)) is ghost
    taken = ghost_of(BALANCE.measure(held, BalanceView(ghosts=3), memory))
    assert (taken.chroma == held.census.chroma).all()
    assert ghost_of(BALANCE.measure(behind, BalanceView(ghosts=3), memory)) is taken
