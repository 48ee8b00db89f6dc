from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.live.state import PictureSize, PlaceSpot, Press, Running, after, first_state, inside
from firmware.profiles.shelf import shipped_profiles
from firmware.reported import PinPlace
from firmware.state_exposure import Setup
from overlays.draw.layout.views import TraceKind, View
from overlays.measure.counting.bands import around
from overlays.measure.spot.spot import check_place
from overlays.signal.quantities import percent, stops

PROFILES = shipped_profiles()
MOVES = [p for p in Press if p.name.startswith("SPOT")]
SIZES = st.tuples(st.integers(8, 4000), st.integers(8, 3000))


def state(columns=1920, rows=1080):
    return first_state(PROFILES, columns, rows)


def pressed(start, *actions):
    for action in actions:
        start = after(start, action)
    return start


def test_starts_with_the_usual_spot_in_the_middle_and_the_first_profile():
    made = state()
    assert (made.spot.column, made.spot.row, made.spot.size) == (960, 540, 48)
    assert made.in_use is PROFILES[0]
    assert made.stripes == PROFILES[0].stripes
    assert made.view is View.EXPOSE
    assert made.running is Running.ON


@pytest.mark.parametrize("press", list(Press))
def test_every_press_does_something(press):
    spot = inside(700, 400, 60, 1920, 1080)
    made = replace(state(), spot=spot, selected=1, setup=Setup((PinPlace("", spot),)))
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
    made = pressed(first_state(PROFILES, *size), PlaceSpot(*place), *moves)
    check_place(made.spot, size[1], size[0])


@given(SIZES, SIZES, st.tuples(st.integers(0, 4000), st.integers(0, 3000)))
def test_the_spot_stays_inside_a_picture_of_another_size(first, then, place):
    made = pressed(first_state(PROFILES, *first), PlaceSpot(*place), PictureSize(*then))
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


def test_three_nudges_of_a_third_make_a_whole_stop():
    made = replace(state(), stripes=(around(stops(0.0), stops(0.2)),))
    assert pressed(made, *[Press.STRIPE_UP] * 3).stripes[0].at == stops(1.0)
    assert pressed(made, *[Press.STRIPE_DOWN] * 6).stripes[0].at == stops(-2.0)


def test_percent_is_nudged_by_one_and_never_beyond_the_codes():
    made = replace(state(), stripes=(around(percent(107.0), percent(2.0)),))
    assert after(made, Press.STRIPE_UP).stripes[0].at == percent(108.0)
    assert pressed(made, *[Press.STRIPE_UP] * 9).stripes[0].at == percent(109.0)


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
    assert after(nudged, Press.PREVIOUS_PROFILE).stripes == PROFILES[0].stripes


def test_a_profile_without_stripes_takes_every_press():
    bare = (replace(PROFILES[0], stripes=()),)
    made = first_state(bare, 640, 360)
    assert pressed(made, Press.STRIPE_UP, Press.NEXT_STRIPE, Press.STRIPE_DOWN) == made


def test_views_and_traces_come_round():
    views = list(View)
    start = views.index(View.EXPOSE)
    seen = [pressed(state(), *[Press.NEXT_VIEW] * n).view for n in range(len(views) + 1)]
    assert seen == [views[(start + n) % len(views)] for n in range(len(views) + 1)]
    assert pressed(state(), Press.NEXT_VIEW, Press.PREVIOUS_VIEW).view is View.EXPOSE
    assert pressed(state(), Press.TRACE).trace is TraceKind.RGB
    assert pressed(state(), Press.TRACE, Press.TRACE) == state()


def test_screenshots_are_counted_and_quit_is_final():
    made = pressed(state(), Press.SCREENSHOT, Press.SCREENSHOT, Press.QUIT)
    assert made.screenshots == 2
    assert made.running is Running.QUIT
