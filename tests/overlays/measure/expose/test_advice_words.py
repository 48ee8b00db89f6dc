import pytest

from overlays.measure.expose.advice import Shooting, joined_moves, single_moves
from overlays.measure.expose.advice_words import (
    Kit,
    forecast_words,
    light_words,
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
APERTURES = (22.0, 16.0, 11.0, 8.0, 5.6, 4.0, 2.8, 2.0)
ISO = Control(ControlKind.ISO, iso(800), (iso(400), iso(800), iso(1600)))


def words(off, *controls, variable_nd=False):
    shooting = Shooting()
    has_nd = any(each.kind is ControlKind.ND for each in controls)
    return main_words(
        off,
        single_moves(off, controls, shooting),
        joined_moves(off, controls, shooting),
        Kit(len(controls), has_nd, variable_nd),
    )


@pytest.mark.parametrize(
    ("off", "control", "said"),
    [
        (1.0, APERTURE, "close to f/5.6 (1 step from f/4); then it is on target"),
        (-2.0, ND, "take the ND out (1 step from ND 0.6); then it is on target"),
        (2.1, ND, "put in ND 1.2 (1 step from ND 0.6); then it is 0.11 st too bright"),
        (0.1, ISO, "leave it: 0.10 st too bright is nearer than controls are marked"),
        (0.01, ISO, "leave it: it is on target"),
    ],
)
def test_one_move(off, control, said):
    moves = () if abs(off) <= 0.2 else single_moves(off, [control], Shooting())
    kit = Kit(1, control is ND)
    assert main_words(off, moves, (), kit) == said


def test_light_comes_before_an_aperture_that_changes_the_look():
    # Common practice, no source: ND and lighting before more than a stop and a half of aperture.
    wide = Control(ControlKind.APERTURE, aperture(8.0), tuple(map(aperture, APERTURES)))
    said = words(3.0, wide)
    assert said.startswith("take 3.00 st off the light, or put in that much ND; or close to f/22")
    assert words(-2.0, wide).startswith("bring 2.00 st more light; or open to f/4")
    assert words(1.0, wide).startswith("close to f/11")


def test_the_end_of_a_scale_is_no_first_thought():
    said = words(1.0, ISO)
    assert said.startswith("take 1.00 st off the light, or put in that much ND; or bring down to")
    inside = Control(ControlKind.ISO, iso(800), tuple(map(iso, (200, 400, 800, 1600))))
    assert words(1.0, inside).startswith("bring down to ISO 400")


def test_two_moves_together():
    less = Control(ControlKind.ND, density(0.0), tuple(map(density, (0.9, 0.6, 0.0))))
    wide = Control(ControlKind.APERTURE, aperture(8.0), tuple(map(aperture, APERTURES)))
    # The ND takes most of it, and the aperture a stop that changes no look.
    assert words(4.0, wide, less) == "put in ND 0.9, then close to f/11; then it is on target"
    alone = words(-4.0, APERTURE, ND)
    assert alone.startswith("bring 4.00 st more light; or take the ND out, then open to f/2")


def test_a_variable_nd_is_named_only_where_there_is_one():
    assert "variable" not in words(2.1, ND)
    assert words(2.1, ND, variable_nd=True).endswith("close the variable ND by the last 0.11 st")
    assert rest_words(-0.3, variable_nd=True) == "open the variable ND by the last 0.30 st"


def test_no_control_will_do():
    assert "say where the camera stands" in words(3.0)
    stuck = Control(ControlKind.ISO, iso(400), (iso(400),))
    assert "no control of the camera reaches that" in words(3.0, stuck)
    assert "no reading" in main_words(None, (), (), Kit())
    assert light_words(2.0, Kit(1, has_nd=True)) == "take 2.00 st off the light"


def test_which_way():
    assert [off_words(v) for v in (None, 0.0, 0.5, -0.5)] == [
        "not to be read",
        "on target",
        "too bright",
        "too dark",
    ]
    assert stops_words(-0.001) == "0.00 st"  # as the screen has it
    assert rest_words(0.0) == "then it is on target"


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
