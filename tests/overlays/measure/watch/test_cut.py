"""Cuts between pictures that share nothing, and light that only changes."""

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import FeedState, Pace
from firmware.feeds.opening import open_feed
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.watch.cut import ALIKE, UNLIKE, CutFinder, CutTo, glimpse_of, likeness
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal, Subsampling

SIGNAL = Signal(bits=10, subsampling=Subsampling.S444)
ROWS, COLUMNS = 96, 128
DICE = np.random.default_rng(3)
WEATHER, STREET = (DICE.uniform(200.0, 600.0, (ROWS // 4, COLUMNS // 4)) for _ in range(2))


def seen(picture, gain=1.0, lift=0.0, noise=1.5):
    """A frame of a picture of luma codes, four pixels to a patch, with noise of its own."""
    luma = np.kron(picture, np.ones((4, 4))) * gain + lift
    codes = np.clip(np.round(luma + DICE.normal(0.0, noise, luma.shape)), 0, 1023)
    half = np.full(luma.shape, 512, np.uint16)
    frame = Frame((codes.astype(np.uint16), half, half), SIGNAL)
    return glimpse_of(frame, yardstick(SIGNAL, published_curve("BT.709")))


BLACK = np.full((ROWS // 4, COLUMNS // 4), 64.0)


def cuts_of(*parts):
    """What is found in parts of (frames, picture or what makes one of the frame's number)."""
    finder, number, out = CutFinder(), 0, []
    for count, picture in parts:
        for place in range(count):
            shown = picture(place) if callable(picture) else seen(picture)
            cut = finder.add(number, shown)
            if cut is not None:
                out.append((cut.at_ns, cut.to))
            number += 1
    return out


def test_another_picture_and_back():
    found = cuts_of((10, WEATHER), (10, STREET), (10, WEATHER))
    assert found == [(10, CutTo.OTHER), (20, CutTo.BACK)]


def test_black_and_back_or_on_to_another():
    found = cuts_of((10, WEATHER), (10, BLACK), (10, WEATHER), (10, BLACK), (10, STREET))
    assert found == [
        *((10, CutTo.BLACK), (20, CutTo.BACK), (30, CutTo.BLACK), (40, CutTo.OTHER)),
    ]


@pytest.mark.parametrize(
    "other",
    [
        lambda _: seen(WEATHER, 0.5),  # two thirds of the light taken off, at standard gamma
        lambda _: seen(WEATHER, 1.0, 120.0),  # a stop and a half more on a log curve
        lambda _: seen(WEATHER * np.linspace(0.3, 1.2, COLUMNS // 4)),  # a lamp at one side
        lambda place: seen(WEATHER + (STREET - WEATHER) * min(place / 12.0, 1.0)),  # a dissolve
        lambda place: seen(WEATHER * max(1.0 - place / 12.0, 0.0) + 64.0),  # a fade
        lambda place: seen(np.roll(WEATHER, place, 1)),  # a pan, fast enough to share nothing
        lambda place: seen(STREET) if place == 3 else seen(WEATHER),  # one bad frame
    ],
)
def test_what_is_no_cut(other):
    assert cuts_of((10, WEATHER), (30, other)) == []


def test_what_shows_nothing_is_not_judged():
    flat, other = (np.full((ROWS // 4, COLUMNS // 4), level) for level in (300.0, 500.0))
    assert cuts_of((10, flat), (10, other)) == []
    assert cuts_of((10, BLACK), (10, BLACK)) == []
    small = np.zeros((20, 20), np.uint16)
    assert glimpse_of(Frame((small, small, small), SIGNAL), None) is None


def first(spec):
    feed = open_feed(spec, clock=HandClock(), pace=Pace.STEP)
    frame = feed.read(1.0)
    assert not isinstance(frame, FeedState)
    yard = yardstick(frame.signal, published_curve("BT.709"), shift=frame.shift)
    found = glimpse_of(frame, yard)
    feed.close()
    return found


@pytest.mark.shared
def test_photographs_are_two_and_the_bench_is_one(scenes):
    names = ("s01-tree-10.mov", "s02-chart24-10.mkv", "s03-wedge36-10.mkv", "s04-forest-10.mkv")
    pictures = [first(str(scenes / name)) for name in names]
    bench = "bench:size=640x360"
    looks = [first(f"{bench}{look}") for look in ("", ",exposure=-1,noise=4", ",curve=V-Log")]
    every = [*pictures, looks[0]]
    for place, one in enumerate(every):
        for other in every[:place]:
            assert likeness(one, other, 0.2) < 0.5 * UNLIKE
    for look in looks:
        assert likeness(looks[0], look, 0.2) > 0.5 * (1.0 + ALIKE)
