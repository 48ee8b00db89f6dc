"""Where the camera stands: by the profile, by presses, by the command line."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ArgumentError, QuantityError
from firmware.instruments.advice import AdviceOptions
from firmware.instruments.advice.camera_standing import (
    kept_of,
    next_chosen,
    nudged,
    standing_asked,
    standing_of,
    with_kept,
)
from firmware.profiles.camera_controls import Camera, Limits
from firmware.profiles.shelf import load_profile
from overlays.measure.expose.mains import Mains
from overlays.signal.quantities import percent

BARE = load_profile("hlg")
KIT = replace(
    load_profile("log-v"),
    camera=Camera(25.0, iso=Limits("800", "400", "1600"), aperture=Limits("4", "2.8", "8")),
)
STANDING = standing_of(KIT, 0.0)


def labels(standing):
    return [control.now.label for control in standing.controls]


def steps(standing, count):
    for _ in range(abs(count)):
        standing = nudged(standing, 1 if count > 0 else -1)
    return standing


def test_controls_come_from_the_profile():
    assert labels(STANDING) == ["f/4", "ISO 800"]
    assert STANDING.chosen == 0
    assert STANDING.target == KIT.target
    assert labels(standing_of(BARE, 25.0)) == []


def test_a_control_follows_the_camera_step_by_step_within_its_limits():
    of_iso = next_chosen(STANDING)
    assert labels(nudged(of_iso, 1)) == ["f/4", "ISO 1000"]
    assert labels(steps(of_iso, 9)) == ["f/4", "ISO 1600"]
    assert labels(steps(of_iso, -9)) == ["f/4", "ISO 400"]
    assert labels(nudged(STANDING, -1)) == ["f/4.5", "ISO 800"]
    assert labels(nudged(STANDING, 1)) == ["f/3.5", "ISO 800"]


@given(st.integers(-12, 12), st.integers(0, 5))
def test_a_press_moves_the_chosen_control_and_no_other(count, tabs):
    start = STANDING
    for _ in range(tabs):
        start = next_chosen(start)
    assert start.chosen == tabs % 2
    moved = steps(start, count)
    assert replace(moved, controls=STANDING.controls) == start
    other = 1 - start.chosen
    assert moved.controls[other] == STANDING.controls[other]


def test_without_controls_nothing_is_moved():
    bare = standing_of(BARE, 25.0)
    assert nudged(bare, 1) == next_chosen(bare) == bare


def with_shutter(rate):
    camera = Camera(None, iso=Limits("800"), shutter=Limits("180 deg"))
    return standing_of(replace(BARE, camera=camera), rate)


def test_an_angle_without_a_rate_leaves_the_shutter_out():
    assert labels(with_shutter(0.0)) == ["ISO 800"]


def test_the_rate_of_the_feed_is_enough_for_an_angle():
    assert labels(with_shutter(25.0)) == ["ISO 800", "180 deg"]


def asked(**how):
    return standing_asked(AdviceOptions(feed="bench", **how), KIT, 25.0)


def test_the_command_line_goes_over_the_profile():
    found = asked(iso="1600", target="42 %", mains="60 Hz")
    assert labels(found) == ["f/4", "ISO 1600"]
    assert found.target == percent(42.0)
    assert found.shooting.mains is Mains.HZ60
    assert asked().target == KIT.target


@pytest.mark.parametrize(
    ("how", "fault", "said"),
    [
        ({"iso": "quick"}, QuantityError, "no speed"),
        ({"target": "40"}, QuantityError, "unit"),
        ({"mains": "40 Hz"}, ArgumentError, "mains"),
    ],
)
def test_what_is_no_setting_is_refused(how, fault, said):
    with pytest.raises(fault, match=said):
        asked(**how)


@given(st.integers(-12, 12), st.integers(0, 5))
def test_where_the_controls_stand_is_kept_by_the_labels_of_their_settings(count, tabs):
    moved = STANDING
    for _ in range(tabs):
        moved = next_chosen(moved)
    moved = steps(moved, count)
    assert with_kept(STANDING, kept_of(moved)) == moved


def test_a_setting_that_there_is_no_more_is_left():
    assert with_kept(STANDING, {"iso": "ISO 7", "gone": "f/4", "chosen": "gone"}) == STANDING
    assert kept_of(standing_of(BARE, 25.0)) == {}
