import pytest

from overlays.measure.expose.advice import Shooting, joined_moves, single_moves
from overlays.measure.expose.advice_words import (
    forecast_words,
    main_words,
    move_words,
    off_words,
    rest_words,
    stops_words,
)
from overlays.measure.expose.sequences import Control, ControlKind, aperture, density, iso
from overlays.measure.range.forecast import Forecast

APERTURE = Control(
    ControlKind.APERTURE, aperture(4.0), tuple(map(aperture, (8.0, 5.6, 4.0, 2.8, 2.0)))
)
ND = Control(ControlKind.ND, density(0.6), tuple(map(density, (1.2, 0.6, 0.0))))
ISO = Control(ControlKind.ISO, iso(800), (iso(400), iso(800), iso(1600)))


def words(off, *controls):
    shooting = Shooting()
    return main_words(
        off,
        single_moves(off, controls, shooting),
        joined_moves(off, controls, shooting),
        controls=len(controls),
    )


@pytest.mark.parametrize(
    ("off", "control", "said"),
    [
        (1.0, APERTURE, "close to f/5.6 (1 step from f/4); nothing is left"),
        (-2.1, APERTURE, "open to f/2 (2 steps from f/4); 0.10 st are missing then"),
        (-2.0, ND, "take the ND out (1 step from ND 0.6); nothing is left"),
        (2.1, ND, "put in ND 1.2 (1 step from ND 0.6); 0.11 st are left for the variable ND"),
        (1.0, ISO, "bring down to ISO 400 (1 step from ISO 800); nothing is left"),
        (0.1, ISO, "leave it; 0.10 st are left"),
    ],
)
def test_one_move(off, control, said):
    assert words(off, control).startswith(said)


def test_two_moves_together():
    assert words(-4.0, APERTURE, ND) == "take the ND out, then open to f/2; nothing is left"


def test_no_control_will_do():
    assert "say where the camera stands" in words(3.0)
    stuck = Control(ControlKind.ISO, iso(400), (iso(400),))
    assert "no control has it" in words(3.0, stuck)
    assert "no reading" in main_words(None, (), (), controls=0)


def test_which_way():
    assert [off_words(v) for v in (None, 0.0, 0.5, -0.5)] == [
        "not to be read",
        "on target",
        "too bright",
        "too dark",
    ]
    assert stops_words(-0.001) == "+0.00 st"
    assert rest_words(0.0) == "nothing is left"


def test_a_move_by_itself():
    (move,) = single_moves(1.0, [APERTURE], Shooting())
    assert move_words(move) == "close to f/5.6"


def test_a_forecast():
    known = Forecast(5.9, 0.1, -6.0, 0.1, clips=False, sinks=True, clipped_rgb=(0.0, 0.0, 0.0))
    assert forecast_words(known) == (
        "brightest then +5.90 st, nothing clips",
        "darkest then -6.00 st, sinks below the floor",
    )
    unknown = Forecast(None, None, None, None, clips=None, sinks=None, clipped_rgb=None)
    assert forecast_words(unknown) == ("brightest then unknown", "darkest then unknown")
