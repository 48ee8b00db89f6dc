"""Pins, marks and controls by presses alone."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.live.state import PictureSize, PlaceSpot, Press, after, first_state
from firmware.profiles.camera_controls import Camera, Limits
from firmware.profiles.shelf import load_profile
from firmware.reported import Asked
from firmware.state_exposure import controls_for, wishes_of
from overlays.draw.layout.views import View

KIT = replace(
    load_profile("log-v"),
    camera=Camera(25.0, iso=Limits("800", "400", "1600"), aperture=Limits("4", "2.8", "8")),
    pins=(("white", 0.61, 0.43), ("edge", 1.0, 1.0)),
)


def state(view=View.ADVICE, profile=KIT):
    return first_state((profile, load_profile("hlg")), 1920, 1080, view)


def pressed(start, *presses):
    for press in presses:
        start = after(start, press)
    return start


def test_pins_and_controls_come_from_the_profile():
    made = state()
    assert [pin.name for pin in made.setup.pins] == ["white", "edge"]
    assert made.setup.pins[0].place.column == 1171
    last = made.setup.pins[1].place
    assert last.left + last.size == 1920  # held inside of the picture
    assert [control.now.label for control in made.setup.controls] == ["f/4", "ISO 800"]
    other = pressed(made, Press.NEXT_PROFILE)
    assert other.setup.pins == ()
    assert other.setup.controls == ()


def test_a_pin_is_set_where_the_spot_is():
    made = after(after(state(), PlaceSpot(300, 200)), Press.SET_PIN)
    assert len(made.setup.pins) == 3
    assert (made.setup.pins[-1].place.column, made.setup.pins[-1].place.row) == (300, 200)
    assert len(after(made, Press.LIFT_PIN).setup.pins) == 2
    assert pressed(made, *[Press.LIFT_PIN] * 9).setup.pins == ()


def test_there_are_never_more_than_eight():
    made = pressed(state(), *[Press.SET_PIN] * 12)
    assert len(made.setup.pins) == 8


def test_a_mark_takes_camera_a_in_the_match_view_and_starts_the_watch_elsewhere():
    assert after(state(View.MATCH), Press.MARK).setup.taken == 1
    assert after(state(View.MATCH), Press.MARK).setup.marked == 0
    assert after(state(View.WATCH), Press.MARK).setup.marked == 1


def test_a_control_follows_the_camera_step_by_step_within_its_limits():
    made = pressed(state(), Press.NEXT_STRIPE, Press.STRIPE_UP)
    assert made.setup.controls[1].now.label == "ISO 1000"
    assert pressed(made, *[Press.STRIPE_UP] * 9).setup.controls[1].now.label == "ISO 1600"
    assert pressed(made, *[Press.STRIPE_DOWN] * 9).setup.controls[1].now.label == "ISO 400"
    assert (
        pressed(made, Press.NEXT_STRIPE, Press.STRIPE_DOWN).setup.controls[0].now.label == "f/4.5"
    )
    assert made.stripes == state().stripes


def test_in_the_pins_view_tab_asks_for_the_evenness_and_back():
    start = state(View.PINS)
    even = after(start, Press.NEXT_STRIPE)
    assert (start.setup.asked, even.setup.asked) == (Asked.RATIOS, Asked.EVENNESS)
    assert after(even, Press.NEXT_STRIPE) == start
    assert wishes_of(even.setup, even.view, even.in_use).asked is Asked.EVENNESS
    # No stripe is painted over the map, so none is moved.
    assert after(even, Press.STRIPE_UP) == even
    assert after(start, Press.STRIPE_UP).stripes != start.stripes
    # What the pins are asked for is remembered, and other views have their keys.
    elsewhere = pressed(even, Press.NEXT_VIEW, Press.NEXT_STRIPE)
    assert elsewhere.view is View.MATCH
    assert elsewhere.setup.asked is Asked.EVENNESS


def test_elsewhere_the_same_keys_move_stripes():
    made = pressed(state(View.EXPOSE), Press.STRIPE_UP)
    assert made.setup.controls == state().setup.controls
    assert made.stripes != state().stripes


def test_without_controls_the_keys_do_nothing():
    made = state(profile=load_profile("hlg"))
    assert pressed(made, Press.STRIPE_UP, Press.NEXT_STRIPE) == made


def test_an_angle_without_a_rate_leaves_the_shutter_out():
    camera = Camera(None, iso=Limits("800"), shutter=Limits("180 deg"))
    assert [control.now.label for control in controls_for(camera)] == ["ISO 800"]


@given(st.integers(64, 4096), st.integers(36, 2304))
def test_pins_stay_inside_of_any_picture(columns, rows):
    made = after(state(), PictureSize(columns, rows))
    for pin in made.setup.pins:
        place = pin.place
        assert place.left >= 0
        assert place.top >= 0
        assert place.left + place.size <= columns
        assert place.top + place.size <= rows


@pytest.mark.parametrize("view", list(View))
def test_wishes_carry_what_reports_need(view):
    made = pressed(state(view), Press.SET_PIN)
    wishes = wishes_of(made.setup, made.view, made.in_use)
    assert (wishes.view, wishes.pins, wishes.controls) == (
        view,
        made.setup.pins,
        made.setup.controls,
    )
    assert wishes.profile == made.in_use
