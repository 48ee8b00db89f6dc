"""The few controls in the views of colour."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.live.state import Press, after, first_state
from firmware.profiles.shelf import shipped_profiles
from firmware.state_colour import LEAST_DIAL, MOST_DIAL, Colouring, pressed
from overlays.draw.chroma.graticule import GAINS
from overlays.draw.layout.views import WITH_CHROMA, View
from overlays.measure.colour.whitepoint import WhitePoint

DAYLIGHT = WhitePoint(5600.0, 0.002)


def through(view, *presses, dial=None, colour=None):
    colour = Colouring() if colour is None else colour
    for press in presses:
        colour = pressed(colour, view, press, 1920, dial)
    return colour


def test_the_gain_comes_round():
    for view in WITH_CHROMA:
        seen = [through(view, *["NEXT_STRIPE"] * n).gain for n in range(5)]
        assert seen == [*GAINS, GAINS[0]]


def test_the_dial_moves_by_hundreds_from_the_profiles():
    assert Colouring().dial(DAYLIGHT) == DAYLIGHT
    up = through(View.BALANCE, "STRIPE_UP", dial=DAYLIGHT)
    assert up.dial(DAYLIGHT) == WhitePoint(5700.0, 0.002)
    odd = through(View.BALANCE, "STRIPE_DOWN", dial=WhitePoint(3240.0, 0.0))
    assert odd.dial(None).kelvin == 3100.0


def test_an_unknown_dial_starts_at_daylight():
    once = through(View.BALANCE, "STRIPE_DOWN")
    assert once.dial(None).kelvin == 5600.0
    assert through(View.BALANCE, "STRIPE_DOWN", colour=once).dial(None).kelvin == 5500.0


@given(st.lists(st.sampled_from(["STRIPE_UP", "STRIPE_DOWN"]), min_size=1, max_size=150))
def test_the_dial_stays_within_reason(presses):
    kelvin = through(View.BALANCE, *presses, dial=DAYLIGHT).dial(None).kelvin
    assert LEAST_DIAL <= kelvin <= MOST_DIAL


def test_a_ghost_is_kept_and_dropped():
    assert [through(View.BALANCE, *["MARK"] * n).ghosts % 2 for n in range(3)] == [0, 1, 0]


def test_corners_move_and_are_given_back():
    moved = through(View.CHART, "NEXT_STRIPE", "SPOT_RIGHT", "SPOT_DOWN_FINE")
    assert moved.corner == 1
    assert moved.offsets == ((0.0, 0.0), (24.0, 1.0), (0.0, 0.0), (0.0, 0.0))
    assert through(View.CHART, "SPOT_CENTRE", colour=moved).offsets is None


@pytest.mark.parametrize("view", [View.EXPOSE, View.READING, View.PINS])
@pytest.mark.parametrize("press", list(Press))
def test_elsewhere_presses_keep_their_meaning(view, press):
    assert pressed(Colouring(), view, press.name, 1920, None) is None


@pytest.mark.parametrize("press", [Press.NEXT_VIEW, Press.HOLD, Press.HELP, Press.SCREENSHOT])
def test_what_has_no_meaning_of_its_own_goes_on(press):
    for view in (View.BALANCE, View.CHART):
        assert pressed(Colouring(), view, press.name, 1920, None) is None


def test_the_state_passes_presses_on():
    state = first_state(shipped_profiles(), 1920, 1080, View.CHART)
    moved = after(state, Press.SPOT_LEFT)
    assert moved.colour.offsets is not None
    assert moved.spot == state.spot
    balance = first_state(shipped_profiles(), 1920, 1080, View.BALANCE)
    assert after(balance, Press.SPOT_LEFT).spot != balance.spot
