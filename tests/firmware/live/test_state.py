from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.actions import PictureSize, PlaceSpot, Press
from firmware.feeds.base import FeedInfo
from firmware.instruments.desk import Desk, PinPlace, inside
from firmware.instruments.registry import REGISTRY
from firmware.live.state import Running, after, first_state
from firmware.profiles.camera_controls import Camera, Limits
from firmware.profiles.shelf import load_profile, shipped_profiles
from overlays.draw.layout.views import TraceKind
from overlays.measure.spot.spot import check_place
from overlays.signal.signal import Matrix, Range, Signal, SignalOverride
from tests import views

PROFILES = shipped_profiles()
MOVES = [p for p in Press if p.name.startswith("SPOT")]
SIZES = st.tuples(st.integers(8, 4000), st.integers(8, 3000))


KIT = replace(
    load_profile("log-v"),
    camera=Camera(25.0, iso=Limits("800", "400", "1600"), aperture=Limits("4", "2.8", "8")),
    pins=(("white", 0.61, 0.43), ("edge", 1.0, 1.0)),
)


def state(columns=1920, rows=1080, view=views.EXPOSE, profiles=PROFILES):
    return first_state(profiles, FeedInfo("x", "y", columns, rows, Signal(), 25.0), view)


def of_kit(view=views.EXPOSE):
    return state(view=view, profiles=(KIT, load_profile("hlg")))


def pressed(start, *actions):
    for action in actions:
        start = after(start, action)
    return start


def test_starts_with_the_usual_spot_in_the_middle_and_the_first_profile():
    made = state()
    assert (made.spot.column, made.spot.row, made.spot.size) == (960, 540, 48)
    assert made.in_use is PROFILES[0]
    assert made.stripes == PROFILES[0].stripes
    assert made.view is views.EXPOSE
    assert made.running is Running.ON
    assert made.rate == 25.0
    assert [name for name, _ in made.settings] == [each.name for each in REGISTRY]


@pytest.mark.parametrize("press", list(Press))
def test_every_press_does_something(press):
    spot = inside(700, 400, 60, 1920, 1080)
    made = replace(state(), spot=spot, selected=1, desk=Desk((PinPlace("", spot),)))
    assert after(made, press) != made


@pytest.mark.parametrize(
    ("press", "back"),
    [
        (Press.SPOT_LEFT, Press.SPOT_RIGHT),
        (Press.SPOT_UP, Press.SPOT_DOWN),
        (Press.SPOT_LEFT_FINE, Press.SPOT_RIGHT_FINE),
        (Press.SPOT_UP_FINE, Press.SPOT_DOWN_FINE),
        (Press.NEXT_PROFILE, Press.PREVIOUS_PROFILE),
        (Press.STRIPE_UP, Press.STRIPE_DOWN),
        (Press.HOLD, Press.HOLD),
        (Press.HELP, Press.HELP),
        (Press.STRIPES, Press.STRIPES),
    ],
)
def test_presses_that_undo_each_other(press, back):
    assert pressed(state(), press, back) == state()


def test_a_fine_step_is_a_pixel_and_a_coarse_one_many():
    start = state()
    fine, coarse = after(start, Press.SPOT_LEFT_FINE), after(start, Press.SPOT_LEFT)
    assert start.spot.column - fine.spot.column == 1
    assert start.spot.column - coarse.spot.column == 48


@given(
    SIZES,
    st.lists(st.sampled_from(MOVES), max_size=60),
    st.tuples(st.integers(-50, 5000), st.integers(-50, 5000)),
)
def test_the_spot_never_leaves_the_picture(size, moves, place):
    made = pressed(state(*size), PlaceSpot(*place), *moves)
    check_place(made.spot, size[1], size[0])


@given(SIZES, SIZES, st.tuples(st.integers(0, 4000), st.integers(0, 3000)))
def test_the_spot_stays_inside_a_picture_of_another_size(first, then, place):
    made = pressed(state(*first), PlaceSpot(*place), PictureSize(*then))
    check_place(made.spot, then[1], then[0])


def test_another_picture_size_keeps_the_place_of_the_spot():
    made = pressed(state(), PlaceSpot(480, 270), PictureSize(1280, 720))
    assert (made.spot.column, made.spot.row, made.spot.size) == (320, 180, 32)
    assert after(made, PictureSize(1280, 720)) is made


def test_sizes_of_the_spot_grow_and_shrink_to_their_ends():
    made = state()
    sizes = [made.spot.size]
    for _ in range(40):
        made = after(made, Press.SPOT_LARGER)
        sizes.append(made.spot.size)
    assert all(b >= a for a, b in pairwise(sizes))
    assert made.spot.size == 1080
    for _ in range(60):
        made = after(made, Press.SPOT_SMALLER)
    assert made.spot.size == 4


def test_only_the_chosen_stripe_is_nudged():
    made = state()
    nudged = pressed(made, Press.NEXT_STRIPE, Press.STRIPE_UP)
    changed = [a != b for a, b in zip(made.stripes, nudged.stripes, strict=True)]
    assert changed == [False, True, False]
    count = len(made.stripes)
    assert pressed(made, *[Press.NEXT_STRIPE] * count) == made


def test_another_profile_brings_its_own_stripes():
    nudged = pressed(state(), Press.NEXT_STRIPE, Press.STRIPE_UP, Press.NEXT_PROFILE)
    assert nudged.stripes == PROFILES[1].stripes
    assert nudged.selected == 0
    back = after(nudged, Press.PREVIOUS_PROFILE)
    assert back.stripes == pressed(state(), Press.NEXT_STRIPE, Press.STRIPE_UP).stripes


def test_a_profile_without_stripes_takes_every_press():
    bare = (replace(PROFILES[0], stripes=()),)
    made = state(640, 360, profiles=bare)
    assert pressed(made, Press.STRIPE_UP, Press.NEXT_STRIPE, Press.STRIPE_DOWN) == made


def test_views_and_traces_come_round():
    every = REGISTRY.views()
    start = every.index(views.EXPOSE)
    seen = [pressed(state(), *[Press.NEXT_VIEW] * n).view for n in range(len(every) + 1)]
    assert seen == [every[(start + n) % len(every)] for n in range(len(every) + 1)]
    assert pressed(state(), Press.NEXT_VIEW, Press.PREVIOUS_VIEW).view == views.EXPOSE
    assert pressed(state(), Press.TRACE).trace is TraceKind.RGB
    assert pressed(state(), Press.TRACE, Press.TRACE) == state()


def test_presses_to_write_the_clip_are_counted():
    assert pressed(state(), Press.KEEP_CLIP, Press.KEEP_CLIP).kept_clips == 2


def test_screenshots_are_counted_and_quit_is_final():
    made = pressed(state(), Press.SCREENSHOT, Press.SCREENSHOT, Press.QUIT)
    assert made.screenshots == 2
    assert made.running is Running.QUIT


def test_pins_and_controls_come_from_the_profile():
    made = of_kit()
    assert [pin.name for pin in made.desk.pins] == ["white", "edge"]
    assert made.desk.pins[0].place.column == 1171
    last = made.desk.pins[1].place
    assert last.left + last.size == 1920  # held inside of the picture
    controls = made.setting("advice").controls
    assert [control.now.label for control in controls] == ["f/4", "ISO 800"]
    other = pressed(made, Press.NEXT_PROFILE)
    assert other.desk.pins == ()
    assert other.setting("advice").controls == ()


def test_a_pin_is_set_where_the_spot_is():
    made = after(after(of_kit(), PlaceSpot(300, 200)), Press.SET_PIN)
    assert len(made.desk.pins) == 3
    assert (made.desk.pins[-1].place.column, made.desk.pins[-1].place.row) == (300, 200)
    assert len(after(made, Press.LIFT_PIN).desk.pins) == 2
    assert pressed(made, *[Press.LIFT_PIN] * 9).desk.pins == ()


def test_there_are_never_more_than_eight_pins():
    assert len(pressed(of_kit(), *[Press.SET_PIN] * 12).desk.pins) == 8


def test_a_control_follows_the_camera_and_no_stripe_does():
    made = pressed(of_kit(), Press.NEXT_STRIPE, Press.STRIPE_UP)
    assert made.setting("advice").controls[1].now.label == "ISO 1000"
    assert made.stripes == of_kit().stripes


def test_elsewhere_the_same_keys_move_stripes():
    made = pressed(of_kit(views.PICTURE), Press.STRIPE_UP)
    assert made.setting("advice") == of_kit().setting("advice")
    assert made.stripes != of_kit().stripes


def test_where_the_camera_has_no_controls_they_move_stripes_there_too():
    made = state(view=views.EXPOSE, profiles=(load_profile("hlg"),))
    moved = pressed(made, Press.STRIPE_UP, Press.NEXT_STRIPE)
    assert moved.stripes != made.stripes
    assert moved.selected == made.selected + 1


@given(st.integers(64, 4096), st.integers(36, 2304))
def test_pins_stay_inside_of_any_picture(columns, rows):
    made = after(of_kit(), PictureSize(columns, rows))
    assert len(made.desk.pins) == 2
    for pin in made.desk.pins:
        check_place(pin.place, rows, columns)


@pytest.mark.parametrize("view", views.VIEWS)
def test_a_pin_may_be_set_and_lifted_in_every_view(view):
    made = pressed(of_kit(view), Press.SET_PIN)
    assert len(made.desk.pins) == 3
    assert pressed(made, Press.LIFT_PIN) == of_kit(view)


@pytest.mark.parametrize("view", views.VIEWS)
def test_a_mark_is_asked_for_in_every_view_and_changes_nothing_else(view):
    before, made = of_kit(view), pressed(of_kit(view), Press.MARK, Press.MARK)
    assert made == replace(before, marks=2)


@pytest.mark.parametrize("view", views.VIEWS)
def test_a_reference_is_of_one_thing_in_each_view(view):
    before, made = of_kit(view), after(of_kit(view), Press.SET_REFERENCE)
    changed = [name for name, setting in made.settings if setting != before.setting(name)]
    own = {views.MATCH: "match", views.BALANCE: "balance", views.FEED_CHECK: "feedcheck"}
    expected = own.get(view, "watch")
    assert changed == [expected]
    assert replace(made, settings=before.settings) == before


def test_in_the_pins_view_tab_asks_for_the_evenness_and_back():
    start = of_kit(views.PINS)
    even = after(start, Press.NEXT_STRIPE)
    assert even.setting("pins") != start.setting("pins")
    assert after(even, Press.NEXT_STRIPE) == start
    # No stripe is painted over the map, so none is moved.
    assert after(even, Press.STRIPE_UP) == even
    assert after(start, Press.STRIPE_UP).stripes != start.stripes
    # What the pins are asked for is remembered, and other views have their keys.
    elsewhere = pressed(even, Press.NEXT_VIEW, Press.NEXT_STRIPE)
    assert elsewhere.view == views.MATCH
    assert elsewhere.setting("pins") == even.setting("pins")
    assert elsewhere.desk.gain != even.desk.gain


def test_a_profile_that_is_turned_to_is_asked_for():
    guessed = replace(state(), is_guess=True)
    assert not after(guessed, Press.NEXT_PROFILE).is_guess
    assert after(guessed, Press.NEXT_VIEW).is_guess


def test_what_is_said_of_the_signal_stays_whatever_is_pressed():
    override = SignalOverride(Range.FULL, Matrix.BT601)
    info = FeedInfo("x", "y", 640, 360, Signal(), 50.0)
    made = first_state(PROFILES, info, views.PINS, is_guess=True, override=override)
    assert made.is_guess
    assert pressed(made, *(p for p in Press if p is not Press.QUIT)).override == override


@given(st.lists(st.sampled_from(list(Press)), max_size=30), st.sampled_from(views.VIEWS))
def test_whatever_is_pressed_leaves_a_state_that_goes_on(presses, view):
    made = pressed(of_kit(view), *presses)
    check_place(made.spot, made.rows, made.columns)
    assert made.view in REGISTRY.views()
    assert 0 <= made.selected < max(len(made.stripes), 1)
    assert [name for name, _ in made.settings] == [each.name for each in REGISTRY]
    assert pressed(made, Press.NEXT_VIEW, Press.PREVIOUS_VIEW).view == made.view


def test_in_the_chart_view_moves_are_a_corners_and_in_others_the_spots():
    for press in (p for p in MOVES if p.name.removeprefix("SPOT_").startswith(("LEFT", "DOWN"))):
        chart, balance = of_kit(views.CHART), of_kit(views.BALANCE)
        moved = after(chart, press)
        assert moved.setting("chart") != chart.setting("chart")
        assert moved.spot == chart.spot
        assert after(balance, press).spot != balance.spot
        assert after(balance, press).settings == balance.settings


@pytest.mark.parametrize("view", [views.EXPOSE, views.TARGET, views.PINS])
@pytest.mark.parametrize("press", [each for each in Press if each is not Press.NEXT_UNIT])
def test_nothing_of_the_views_of_colour_is_pressed_elsewhere(view, press):
    before = of_kit(view)
    made = after(before, press)
    for name in ("balance", "chart", "match"):
        assert made.setting(name) == before.setting(name)
    assert (made.desk.gain, made.desk.dial_kelvin) == (before.desk.gain, before.desk.dial_kelvin)


@pytest.mark.parametrize("view", views.VIEWS)
def test_which_unit_is_camera_a_is_chosen_in_any_view_and_changes_nothing_else(view):
    before, made = of_kit(view), after(of_kit(view), Press.NEXT_UNIT)
    assert made.setting("match").asked == before.setting("match").asked + 1
    assert {name for name, each in made.settings if each != before.setting(name)} == {"match"}
    assert (made.desk, made.spot, made.view) == (before.desk, before.spot, before.view)


@pytest.mark.parametrize("view", views.VIEWS)
@pytest.mark.parametrize("press", [Press.NEXT_VIEW, Press.HOLD, Press.HELP, Press.SCREENSHOT])
def test_some_presses_mean_the_same_in_every_view(view, press):
    before = of_kit(view)
    made = after(before, press)
    assert made != before
    assert (made.desk, made.spot) == (before.desk, before.spot)
    changed = [name for name, setting in made.settings if setting != before.setting(name)]
    # A feed check holds what it is to read, and takes it, instead of the picture.
    takes = view is views.FEED_CHECK and press is Press.HOLD
    assert changed == (["feedcheck"] if takes else [])
    assert made.held == (press is Press.HOLD and not takes)


def test_the_dial_told_in_the_balance_view_holds_everywhere():
    told = pressed(of_kit(views.BALANCE), Press.STRIPE_UP, Press.STRIPE_UP)
    assert told.desk.dial_kelvin == 5700.0  # from daylight, where nobody said anything
    assert told.stripes == of_kit().stripes
    turned = told
    for _ in REGISTRY.views():
        turned = after(turned, Press.NEXT_VIEW)
        assert turned.desk == told.desk


def test_a_profile_is_a_guess_only_where_that_is_said():
    assert not state().is_guess
    info = FeedInfo("x", "y", 1920, 1080, Signal(), 25.0)
    assert first_state(PROFILES, info, views.EXPOSE, is_guess=True).is_guess
