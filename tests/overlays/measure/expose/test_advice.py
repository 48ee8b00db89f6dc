"""Advice: whatever the settings and the offset, following it lands where it says, within limits."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.expose.advice import (
    NEAR_STOPS,
    Shooting,
    best_move,
    joined_moves,
    present_notes,
    single_moves,
    usable,
)
from overlays.measure.expose.mains import Mains, flickers
from overlays.measure.expose.sequences import (
    APERTURE_NUMBERS,
    ISO_NUMBERS,
    ND_DENSITIES,
    SHUTTER_ANGLES_DEG,
    SHUTTER_TIMES,
    Control,
    ControlKind,
    aperture,
    density,
    iso,
    shutter_angle,
    shutter_time,
)

RATE = 25.0


def between(settings, first, last):
    ordered = sorted(settings, key=lambda each: each.stops)
    low, high = sorted((first, last))
    return tuple(ordered[low : high + 1])


@st.composite
def control(draw, kind=None):
    kind = kind or draw(st.sampled_from(ControlKind))
    settings = {
        ControlKind.ISO: [iso(n) for n in ISO_NUMBERS],
        ControlKind.APERTURE: [aperture(n) for n in APERTURE_NUMBERS],
        ControlKind.ND: [density(n) for n in ND_DENSITIES],
        ControlKind.SHUTTER: draw(
            st.sampled_from(
                [
                    [shutter_angle(n, RATE) for n in SHUTTER_ANGLES_DEG],
                    [shutter_time(1 / n) for n in SHUTTER_TIMES],
                ]
            )
        ),
    }[kind]
    places = st.integers(0, len(settings) - 1)
    allowed = between(settings, draw(places), draw(places))
    now = draw(st.sampled_from(allowed))
    if kind is ControlKind.APERTURE and draw(st.booleans()):
        now = aperture(draw(st.floats(1.05, 31.0)))
    return Control(kind, now, allowed)


shootings = st.builds(Shooting, st.sampled_from([None, RATE]), st.sampled_from(Mains))
offsets = st.floats(-9.0, 9.0)


@given(offsets, control(), shootings)
def test_following_a_move_lands_within_half_a_step_and_says_what_is_left(off, control, shooting):
    move = best_move(off, control, shooting)
    if move is None:
        return
    landed = off + move.to.stops - move.start.stops
    assert landed == pytest.approx(move.residual_stops, abs=1e-12)
    assert abs(landed) < abs(off)
    choices = sorted(each.stops for each in usable(control, shooting))
    place = choices.index(move.to.stops)
    if landed > 0.0 and place > 0:
        assert landed <= (choices[place] - choices[place - 1]) / 2.0 + 1e-9
    if landed < 0.0 and place < len(choices) - 1:
        assert -landed <= (choices[place + 1] - choices[place]) / 2.0 + 1e-9


@given(offsets, control(), shootings)
def test_no_move_leaves_the_limits_of_the_camera(off, control, shooting):
    move = best_move(off, control, shooting)
    if move is not None:
        assert move.to in control.allowed
        assert move.start == control.now


@given(offsets, control(ControlKind.SHUTTER), shootings)
def test_a_shutter_neither_flickers_nor_changes_motion_in_silence(off, control, shooting):
    move = best_move(off, control, shooting)
    if move is None:
        return
    assert not flickers(move.to.seconds, shooting.mains)
    if shooting.rate is not None:
        assert move.to.seconds <= 1.0001 / shooting.rate
    if abs(math.log2(move.to.seconds / move.start.seconds)) > 0.11:
        assert any("motion" in note for note in move.notes)
    if shooting.mains is Mains.UNKNOWN and flickers(move.to.seconds, Mains.HZ50):
        assert any("50 Hz" in note for note in move.notes)


@given(offsets, st.lists(control(), max_size=4, unique_by=lambda each: each.kind), shootings)
def test_joined_moves_add_up(off, controls, shooting):
    joined = joined_moves(off, controls, shooting)
    if not joined:
        return
    assert len({move.kind for move in joined}) == len(joined)
    done = sum(move.change_stops for move in joined)
    assert off + done == pytest.approx(joined[-1].residual_stops, abs=1e-9)
    best = single_moves(off, controls, shooting)[0]
    near = max(abs(best.residual_stops), NEAR_STOPS)  # what is near enough is as good
    assert abs(joined[-1].residual_stops) <= near + 1e-9
    # A single move that would do gives way only where it is a last resort and these are none.
    if best.is_near:
        assert best.is_a_last_resort
        assert not any(move.is_a_last_resort for move in joined)


def test_two_moves_that_leave_more_than_one_are_not_offered():
    # Found by the property above: ND by a third first made the aperture overshoot by two thirds.
    controls = [
        Control(ControlKind.ND, density(3.0), (density(3.0), density(2.9))),
        Control(ControlKind.APERTURE, aperture(14.0), (aperture(6.3), aperture(5.6))),
    ]
    assert joined_moves(-2.0, controls, Shooting()) == ()
    assert single_moves(-2.0, controls, Shooting())[0].to.label == "f/6.3"


@given(offsets, st.lists(control(), max_size=4, unique_by=lambda each: each.kind), shootings)
def test_the_best_move_stands_first(off, controls, shooting):
    moves = single_moves(off, controls, shooting)
    left = [max(abs(move.residual_stops), NEAR_STOPS) for move in moves]
    assert left == sorted(left)


def test_third_stops_by_hand():
    # A stop too bright at f/4, ISO 800: close to f/5.6, or go to ISO 400; nothing is left.
    controls = [
        Control(ControlKind.ISO, iso(800), tuple(iso(n) for n in ISO_NUMBERS)),
        Control(ControlKind.APERTURE, aperture(4.0), tuple(map(aperture, APERTURE_NUMBERS[::-1]))),
    ]
    first, second = single_moves(1.0, controls, Shooting())
    assert (first.to.label, first.steps, first.residual_stops) == ("f/5.6", -3, 0.0)
    assert (second.to.label, second.steps) == ("ISO 400", -3)
    assert second.residual_stops == pytest.approx(0.0, abs=1e-12)


def test_a_dark_picture_takes_filters_out():
    nd = Control(ControlKind.ND, density(0.9), tuple(map(density, ND_DENSITIES[::-1])))
    (move,) = single_moves(-2.0, [nd], Shooting())
    assert move.to.label == "ND 0.3"
    assert move.steps == 6
    assert move.residual_stops == pytest.approx(-2.0 + 0.6 / math.log10(2.0))


def test_the_present_shutter_is_looked_at():
    shutter = Control(ControlKind.SHUTTER, shutter_time(1 / 48), ())
    assert "50 Hz" in present_notes([shutter], Shooting(24.0, Mains.HZ50))[0]
    assert present_notes([shutter], Shooting(24.0, Mains.NONE)) == ()
    assert "longer than a frame" in present_notes([shutter], Shooting(60.0, Mains.NONE))[0]


def test_no_move_where_a_camera_cannot_help():
    fixed = Control(ControlKind.APERTURE, aperture(8.0), (aperture(8.0),))
    assert single_moves(1.0, [fixed], Shooting()) == ()
    assert best_move(1.0, Control(ControlKind.ISO, iso(800), ()), Shooting()) is None
