"""The card is found where there is one, and where there is none that is said."""

import json

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.opening.one_frame import take_frame
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.measure.card.card import (
    NOTHING_FLAT,
    NOTHING_NEUTRAL,
    ONLY_BRIGHT,
    find_card,
)
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from tests.colour_frames import frame_of

BT709 = published_gamut("BT.709")
ROWS, COLUMNS, SIZE = 180, 320, 8


def found_in(feed, profile=None):
    """What is found in the first frame of a feed, with the usual size of a spot, and that size."""
    session = open_session(str(feed), profile, Overrides(), clock=HandClock(10**9), pace=Pace.STEP)
    try:
        read_with = session.read_with()
        frame = read_with.frame(take_frame(session.feed, 0, HandClock()))
        yard = read_with.yardstick(frame.signal, frame.shift)
        size = max(2 * round(0.022 * frame.rows), 8)
        return find_card(frame, yard, read_with.gamut, size)
    finally:
        session.feed.close()


def made(*things, ground=0.05):
    """What is found in a rough picture with flat things: (left, top, right, bottom, linear RGB)."""
    linear = np.full((ROWS, COLUMNS, 3), ground)
    linear *= np.random.default_rng(3).uniform(0.3, 3.0, (ROWS, COLUMNS, 1))
    for left, top, right, bottom, rgb in things:
        linear[top:bottom, left:right] = rgb
    frame = frame_of(linear, noise=0.3)
    return find_card(frame, yardstick(frame.signal, published_curve("BT.709")), BT709, SIZE)


@pytest.mark.parametrize(
    ("options", "profile"),
    [
        ("noise=1", None),
        ("noise=6", None),
        ("curve=V-Log,signal=yuv422-10", "log-v"),
        ("curve=S-Log3,exposure=-4,noise=1", "log-s3"),
    ],
)
def test_the_benchs_grey_card_is_found(options, profile):
    found = found_in(f"bench:size=640x360,{options}", profile)
    assert found.is_sure
    assert abs(found.place.column - 320) < 30  # the card is 80 pixels across, in the middle
    assert abs(found.place.row - 180) < 30


def test_a_card_that_is_not_neutral_as_the_camera_is_set_is_asked_about():
    found = found_in(
        "bench:size=640x360,curve=V-Log,signal=yuv422-10,kelvin=3200,dial=5600", "log-v"
    )
    assert abs(found.place.column - 320) < 30
    assert not found.is_sure
    assert found.words.endswith("is it the card?")


def test_the_largest_neutral_thing_is_taken_and_not_a_larger_coloured_one():
    red = (10, 10, 110, 110, (0.5, 0.02, 0.02))
    small, large = (150, 20, 170, 40, 0.18), (200, 60, 250, 110, 0.2)
    found = made(red, small, large)
    assert found.is_sure
    assert (abs(found.place.column - 225) < 8, abs(found.place.row - 85) < 8) == (True, True)


@pytest.mark.parametrize(
    ("things", "words"),
    [
        ([], NOTHING_FLAT),
        ([(10, 10, 16, 16, 0.18)], NOTHING_FLAT),  # smaller than the spot
        ([(10, 10, 110, 110, (0.5, 0.02, 0.02))], NOTHING_NEUTRAL),
        ([(10, 10, 110, 110, 0.0)], NOTHING_NEUTRAL),
        ([(10, 10, 110, 110, 0.97), (250, 150, 252, 152, 1.1)], ONLY_BRIGHT),
    ],
)
def test_where_there_is_none_it_says_why(things, words):
    found = made(*things)
    assert (found.place, found.words) == (None, words)


@pytest.mark.parametrize("name", ["s01-tree-10.mov", "s04-forest-8.mkv"])
def test_a_landscape_has_no_card(scenes, name):
    assert found_in(scenes / name).place is None


@pytest.mark.parametrize("name", ["s02-chart24-8.mkv", "s03-wedge36-8.mkv"])
def test_of_a_chart_a_neutral_patch_is_found(scenes, name):
    found = found_in(scenes / name)
    assert found.is_sure
    clips = json.loads((scenes / "truth.json").read_text())["clips"]
    (clip,) = [each for each in clips if each["name"] == name.removesuffix("-8.mkv")]
    (here,) = [
        each
        for each in clip["patches"]
        if 0 <= found.place.column - each["x"] < each["w"]
        and 0 <= found.place.row - each["y"] < each["h"]
    ]
    assert max(here["stops_rgb"]) - min(here["stops_rgb"]) < 0.25
