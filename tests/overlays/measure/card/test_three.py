"""Three chips are found where they are, at any exposure, and where there are none that is said."""

import json

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.opening.one_frame import take_frame
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.measure.card.three import NONE_APART, NONE_FLAT, find_chips
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from tests.colour_frames import frame_of
from tests.places import SCENES

BT709 = published_gamut("BT.709")
SIZE = 8
WHITE, GREY, BLACK = 0.90, 0.18, 0.03
ROW = ((40, 60), (90, 60), (140, 60))
"""Left and top of three things of 36 pixels side by side."""


def found_in(feed, profile=None):
    session = open_session(str(feed), profile, Overrides(), clock=HandClock(10**9), pace=Pace.STEP)
    try:
        read_with = session.read_with()
        frame = read_with.frame(take_frame(session.feed, 0, HandClock()))
        yard = read_with.yardstick(frame.signal, frame.shift)
        size = max(2 * round(0.022 * frame.rows), 8)
        return find_chips(frame, yard, read_with.gamut, size)
    finally:
        session.feed.close()


def made(*things, edge=36, noise=0.3, curve="V-Log"):
    """What is found in a rough picture with flat squares: (left, top, linear light or RGB)."""
    linear = np.full((180, 320, 3), 0.05)
    linear *= np.random.default_rng(3).uniform(0.3, 3.0, (180, 320, 1))
    for left, top, light in things:
        linear[top : top + edge, left : left + edge] = light
    frame = frame_of(linear, curve, 10, noise)
    return find_chips(frame, yardstick(frame.signal, published_curve(curve)), BT709, SIZE)


def in_a_row(lights, places=ROW):
    return [(*place, light) for place, light in zip(places, lights, strict=True)]


def lie_on(found, places, edge=36):
    half = edge / 2
    return all(
        abs(spot.column - left - half) < half and abs(spot.row - top - half) < half
        for spot, (left, top) in zip(found.places, places, strict=True)
    )


@pytest.mark.parametrize("stops", [-4.0, -1.0, 0.0, 1.5])
@pytest.mark.parametrize("order", [(0, 1, 2), (2, 0, 1), (1, 2, 0)])
def test_they_are_found_in_any_order_and_at_any_exposure(stops, order):
    places = [ROW[n] for n in order]
    lights = [light * 2.0**stops for light in (WHITE, GREY, BLACK)]
    assert lie_on(made(*in_a_row(lights, places)), places)


@pytest.mark.parametrize("white", [0.78, 0.98])
@pytest.mark.parametrize("grey", [0.16, 0.20])
@pytest.mark.parametrize("black", [0.0, 0.05])
def test_chips_as_they_are_sold_are_found(white, grey, black):
    found = made(*in_a_row((white, grey, black)))
    # The brightest white over the darkest grey is 2.6 st: more than any set that is sold together.
    assert found.places is not None
    assert lie_on(found, ROW)


@pytest.mark.parametrize(
    "lights",
    [
        (WHITE, GREY, GREY),  # no black
        (WHITE, 0.45, BLACK),  # no grey of 18 %
        (WHITE, (0.3, 0.15, 0.08), BLACK),  # the one in the middle is coloured
        (GREY, GREY, BLACK),
    ],
)
def test_what_lacks_one_of_them_is_none(lights):
    found = made(*in_a_row(lights))
    assert (found.places, found.words) == (None, NONE_APART)


def test_a_black_far_away_is_none_of_them():
    assert made(*in_a_row((WHITE, GREY, BLACK), (ROW[0], ROW[1], (280, 140)))).places is None


def test_clipped_ones_are_none():
    found = made(*in_a_row((1.4, 0.28, 0.05)), curve="BT.709")
    assert found.places is None


def test_of_two_sets_the_larger_is_meant():
    small = [(40, 130, WHITE), (60, 130, GREY), (80, 130, BLACK)]
    linear = np.full((180, 320, 3), 0.05)
    linear *= np.random.default_rng(3).uniform(0.3, 3.0, (180, 320, 1))
    for things, edge in ((small, 15), (in_a_row((WHITE, GREY, BLACK)), 36)):
        for left, top, light in things:
            linear[top : top + edge, left : left + edge] = light
    frame = frame_of(linear, "V-Log", 10, 0.3)
    found = find_chips(frame, yardstick(frame.signal, published_curve("V-Log")), BT709, SIZE)
    assert lie_on(found, ROW)


def test_a_rough_picture_has_nothing_flat():
    assert made().words == NONE_FLAT


@pytest.mark.parametrize(
    ("options", "profile"),
    [
        ("curve=V-Log,signal=yuv422-10", "log-v"),
        ("curve=V-Log,signal=yuv422-10,exposure=-2", "log-v"),
        ("curve=S-Log3,exposure=-1,noise=1", "log-s3"),
        ("exposure=-0.7", "standard"),
    ],
)
def test_those_of_the_bench_are_found(options, profile):
    found = found_in(f"bench:size=960x540,{options}", profile)
    assert found.places is not None, found.words
    wanted = ((584, 233), (480, 270), (584, 306))
    for spot, (column, row) in zip(found.places, wanted, strict=True):
        assert abs(spot.column - column) < 30
        assert abs(spot.row - row) < 30


@pytest.mark.skipif(not SCENES.exists(), reason="the pictures of known truth are not here")
def test_the_neutral_row_of_a_real_chart_is_found():
    found = found_in(SCENES / "s02-chart24-10.mkv")
    clips = json.loads((SCENES / "truth.json").read_text())["clips"]
    (clip,) = [each for each in clips if each["name"] == "s02-chart24"]
    patches = {each["name"]: each for each in clip["patches"]}
    assert found.places is not None, found.words
    for spot, name in zip(found.places, ("neutral-9.5", "neutral-5", "black-2"), strict=True):
        patch = patches[name]
        assert 0 <= spot.column - patch["x"] < patch["w"], name
        assert 0 <= spot.row - patch["y"] < patch["h"], name


@pytest.mark.skipif(not SCENES.exists(), reason="the pictures of known truth are not here")
@pytest.mark.parametrize("name", ["s01-tree-10.mov", "s04-forest-10.mkv"])
def test_in_a_picture_without_chips_none_are_found(name):
    assert found_in(SCENES / name).places is None
