"""What is set comes back as it was: for whatever was pressed, on the same picture and on others."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firmware.actions import PlaceSpot, Press
from firmware.feeds.base import FeedInfo
from firmware.kept.document import Kept, KeptAsked, understood
from firmware.live.remembered import fingerprint, kept_of, restored
from firmware.live.state import after, first_state
from firmware.profiles.camera_controls import Camera, Limits
from firmware.profiles.shelf import load_profile
from overlays.signal.quantities import stops
from overlays.signal.signal import Signal
from tests import views

KIT = replace(
    load_profile("log-v"),
    camera=Camera(25.0, iso=Limits("800", "400", "1600"), aperture=Limits("4", "2.8", "8")),
    pins=(("white", 0.61, 0.43), ("edge", 1.0, 1.0)),
)
PROFILES = (KIT, load_profile("hlg"), load_profile("standard"))
ASKED = KeptAsked(view="expose", profile="log-v")
COUNTED = {"screenshots", "marks", "kept_clips", "dismissed", "codes", "partings", "lights"}
PASSING = {"held", "help", "sought", "searches"} | COUNTED
"""What a power cut ends: what is on the screen for a moment, and how often was pressed."""
PRESSES = [press for press in Press if press is not Press.QUIT]


def start(columns=1920, rows=1080, profiles=PROFILES):
    return first_state(profiles, FeedInfo("x", "y", columns, rows, Signal(), 25.0), views.EXPOSE)


def pressed(state, *actions):
    for action in actions:
        state = after(state, action)
    return state


def over_a_power_cut(state, fresh=None, asked=ASKED):
    """The state behind a start, from the bytes that are on the card."""
    kept = understood(kept_of(state, ASKED).content())
    return restored(start() if fresh is None else fresh, kept, asked)


def settled(state):
    """All of a state that is to come back."""
    apart = PASSING | {"settings", "left"}
    names = [name for name in state.__dataclass_fields__ if name not in apart]
    controls = state.setting("advice")
    left = {state.profiles[index].name: look for index, look in state.left}
    return ({name: getattr(state, name) for name in names}, controls, left)


EVERYTHING = (
    PlaceSpot(321, 654),
    Press.SPOT_LARGER,
    Press.SET_PIN,
    Press.STRIPE_UP,
    Press.NEXT_STRIPE,
    Press.STRIPE_DOWN,
    Press.STRIPES,
    Press.TRACE,
)


def test_everything_that_was_set_by_hand_is_there_again():
    state = pressed(replace(start(), view=views.PICTURE), *EVERYTHING)
    state = pressed(replace(state, view=views.EXPOSE), Press.NEXT_STRIPE, Press.STRIPE_UP)
    state = pressed(replace(state, view=views.BALANCE), Press.STRIPE_UP, Press.NEXT_STRIPE)
    state = pressed(state, Press.NEXT_PROFILE, Press.STRIPE_UP)
    back = over_a_power_cut(state)
    assert settled(back)[0] == settled(state)[0]
    assert back.in_use.name == "hlg"
    assert back.desk.gain == 2
    # What waits with the profile that was turned from is there too.
    again, before = (pressed(each, Press.PREVIOUS_PROFILE) for each in (back, state))
    assert settled(again)[:2] == settled(before)[:2]
    assert [c.now.label for c in again.setting("advice").controls] == ["f/4", "ISO 1000"]


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.sampled_from(PRESSES), max_size=40),
    st.sampled_from([(1920, 1080), (640, 360), (333, 77)]),
)
def test_whatever_is_pressed_comes_back(presses, size):
    state = pressed(start(*size), *presses)
    back = over_a_power_cut(state, start(*size))
    assert settled(back)[0] == settled(state)[0]
    assert settled(back)[1].controls == settled(state)[1].controls


def test_on_another_picture_places_keep_their_share_of_it():
    state = pressed(start(), PlaceSpot(480, 270), Press.SET_PIN, PlaceSpot(960, 540))
    back = over_a_power_cut(state, start(640, 360))
    assert (back.spot.column, back.spot.row, back.spot.size) == (320, 180, 16)
    assert (back.desk.pins[-1].place.column, back.desk.pins[-1].place.row) == (160, 90)
    plain = over_a_power_cut(start(), start(640, 360))
    assert plain.desk.pins == start(640, 360).desk.pins


def test_an_option_that_has_changed_goes_over_what_was_set():
    state = pressed(start(), Press.NEXT_VIEW, Press.NEXT_PROFILE, PlaceSpot(300, 300))
    fresh = replace(start(), view=views.WATCH)
    kept_view = over_a_power_cut(state, fresh).view
    assert kept_view is not views.WATCH
    back = over_a_power_cut(state, fresh, KeptAsked(view="watch", profile="log-s3"))
    assert (back.view, back.in_use.name) == (views.WATCH, KIT.name)
    assert back.spot.column == 300


def test_a_profile_that_was_edited_since_is_what_its_file_says():
    state = pressed(start(), Press.STRIPE_UP, PlaceSpot(300, 300))
    edited = replace(KIT, target=stops(1.0))
    assert fingerprint(edited) != fingerprint(KIT)
    back = over_a_power_cut(state, start(profiles=(edited, *PROFILES[1:])))
    assert back.stripes == KIT.stripes
    assert back.spot.column == 300


def test_what_is_gone_is_left():
    state = replace(pressed(start(), Press.NEXT_PROFILE), view=views.CHART)
    kept = kept_of(state, ASKED)
    other = kept.model_copy(update={"view": "gone", "trace": "GONE", "gain": 77, "profile": "gone"})
    back = restored(start(), other, ASKED)
    assert (back.view, back.trace, back.desk.gain) == (views.EXPOSE, start().trace, 1)
    assert back.in_use is KIT


@pytest.mark.parametrize("kelvin", [None, 0.0, -5600.0, 999999.0])
def test_a_dial_that_no_camera_has_is_none(kelvin):
    kept = kept_of(pressed(start(), Press.STRIPE_UP), ASKED)
    looks = tuple(look.model_copy(update={"dial_kelvin": kelvin}) for look in kept.looks)
    back = restored(start(), kept.model_copy(update={"looks": looks}), ASKED)
    assert back.desk.dial_kelvin is None
    assert isinstance(kept, Kept)


@pytest.mark.parametrize(("once", "now"), [("reading", "target"), ("no such view", "expose")])
def test_a_view_of_another_version_is_the_one_it_went_up_in_or_the_usual_one(once, now):
    kept = kept_of(start(), ASKED).model_copy(update={"view": once})
    assert restored(start(), kept, ASKED).view.name == now
