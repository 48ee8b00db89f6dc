"""A profile that is stepped away from and back to is as it was left."""

from dataclasses import replace

from firmware.actions import PlaceSpot, Press
from firmware.feeds.base import FeedInfo
from firmware.live.by_profile import taken_up
from firmware.live.state import after, first_state
from firmware.profiles.camera_controls import Camera, Limits
from firmware.profiles.shelf import load_profile
from overlays.measure.colour.whitepoint import WhitePoint
from overlays.signal.signal import Signal
from tests import views

KIT = replace(
    load_profile("log-v"),
    name="kit",
    camera=Camera(aperture=Limits("4", "2.8", "16"), iso=Limits("800", "400", "6400")),
    pins=(("white", 0.61, 0.43),),
)
OTHER = replace(KIT, name="other", pins=(("card", 0.5, 0.5),), dial=WhitePoint(3200.0, 0.0))
PROFILES = (KIT, load_profile("hlg"), OTHER)
THERE_AND_BACK = (Press.NEXT_PROFILE, Press.PREVIOUS_PROFILE)


def state(view=views.EXPOSE):
    return first_state(PROFILES, FeedInfo("x", "y", 1920, 1080, Signal(), 25.0), view)


def pressed(made, *presses):
    for press in presses:
        made = after(made, press)
    return made


def test_pins_set_by_hand_stay_whatever_the_profile():
    made = pressed(state(), PlaceSpot(300, 200), Press.SET_PIN)
    places = [pin.place for pin in made.desk.pins]
    for _ in range(2 * len(PROFILES)):
        made = after(made, Press.NEXT_PROFILE)
        assert [pin.place for pin in made.desk.pins] == places
    # Without one set by hand they are those of the profile.
    assert [pin.name for pin in after(state(), Press.PREVIOUS_PROFILE).desk.pins] == ["card"]
    assert after(state(), Press.NEXT_PROFILE).desk.pins == ()


def test_nudged_stripes_are_found_again_with_their_profile():
    made = pressed(state(views.PICTURE), Press.NEXT_STRIPE, Press.STRIPE_UP)
    assert made.stripes != KIT.stripes
    away = after(made, Press.NEXT_PROFILE)
    assert away.stripes == PROFILES[1].stripes
    back = after(away, Press.PREVIOUS_PROFILE)
    assert (back.stripes, back.selected) == (made.stripes, 1)
    assert after(away, Press.STRIPE_UP).stripes != away.stripes


def test_controls_stay_where_they_were_said_to_stand():
    made = pressed(state(views.EXPOSE), Press.NEXT_STRIPE, Press.STRIPE_UP)
    assert made.setting("advice").controls[1].now.label == "ISO 1000"
    assert after(made, Press.NEXT_PROFILE).setting("advice").controls == ()
    assert pressed(made, *THERE_AND_BACK).setting("advice") == made.setting("advice")
    # Another camera's are its own.
    assert after(made, Press.PREVIOUS_PROFILE).setting("advice").controls[1].now.label == "ISO 800"


def test_the_dial_stays_with_its_camera():
    made = pressed(state(views.BALANCE), Press.STRIPE_UP)
    told = made.desk.dial_kelvin
    assert told is not None
    assert after(made, Press.NEXT_PROFILE).desk.dial_kelvin == told  # another look says nothing
    other = after(made, Press.PREVIOUS_PROFILE)
    assert other.desk.dial(OTHER.dial).kelvin == 3200.0
    assert after(other, Press.NEXT_PROFILE).desk.dial_kelvin == told


def test_there_and_back_changes_nothing():
    made = pressed(state(), Press.STRIPE_UP, Press.NEXT_STRIPE)
    back = pressed(made, *THERE_AND_BACK)
    assert replace(back, left=()) == made


def test_what_was_never_left_is_the_profiles_own():
    made = state()
    found = taken_up(OTHER, None, made.settings, made.desk, made.registry, 25.0)
    assert (found.stripes, found.selected, found.dial_kelvin) == (OTHER.stripes, 0, None)
