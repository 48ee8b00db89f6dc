"""Dark parts that are cut off, and dark parts that are dark."""

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from overlays.measure.suspicion.bottom import AREA, flat_bottom
from overlays.measure.suspicion.suspected import Sign
from overlays.signal.carried import CarriedCurve
from overlays.signal.frame import Frame
from overlays.signal.levels import luma_scale
from overlays.signal.published import published_curve


def found(text, curve="BT.709"):
    feed = BenchFeed(text, clock=HandClock(), pace=Pace.STEP)
    frames = [frame for _ in range(2) if isinstance(frame := feed.read(1.0), Frame)]
    before, now = (frame.planes[0][::2, ::2] for frame in frames)
    scale, stored = luma_scale(frames[0].signal), 1 << frames[0].shift
    of = published_curve(curve)
    nominal = float(CarriedCurve(of, of.carriage, frames[0].signal.range).nominal(0.0))
    black = (scale.zero + scale.span * nominal) * stored
    return flat_bottom(before, now, black, scale.span * stored)


@pytest.mark.parametrize(
    ("text", "curve"),
    [
        ("floor=10", "BT.709"),
        ("floor=10,signal=yuv422-10", "BT.709"),
        ("floor=20,curve=V-Log,signal=yuv422-10", "V-Log"),
    ],
)
def test_a_bottom_above_black_is_found_with_its_share(text, curve):
    said = found(text, curve)
    assert said is not None
    assert said.sign is Sign.FLOOR
    assert 0.01 < said.share < 0.5


@pytest.mark.parametrize(
    "text",
    [
        "",
        "noise=0",
        "noise=6",
        "exposure=-12",
        "exposure=-4",
        "exposure=3",
        "exposure=6",
        "floor=1.5",
    ],
)
def test_dark_things_and_the_black_of_the_curve_are_none(text):
    assert found(text) is None
    if "floor" not in text:
        assert found(f"{text},signal=yuv422-10".lstrip(",")) is None


def test_one_dark_thing_of_one_level_is_none():
    rng = np.random.default_rng(3)
    frames = [rng.normal(120.0, 4.0, (270, 480)).round() for _ in range(2)]
    for frame in frames:
        frame[40:110, 40:130] = 60.0
    before, now = frames
    assert flat_bottom(before, now, 16.0, 219.0) is None
    for frame in frames:
        frame[40:110, 300:420] = 60.0
    assert flat_bottom(before, now, 16.0, 219.0) is not None
    assert flat_bottom(now, now, 16.0, 219.0) is None  # where nothing moves
    assert flat_bottom(np.zeros((8, 8)), np.zeros((8, 8)), 16.0, 219.0) is None


@pytest.mark.parametrize(("far", "is_found"), [(2, False), (3, True)])
def test_one_dark_thing_may_have_but_one_level_and_two_that_lie_apart_may_not(far, is_found):
    """Eight areas high: a quarter of the height from each other, and three eighths."""
    noise = np.random.default_rng(1)
    before, now = noise.integers(400, 500, (2, 8 * AREA, 8 * AREA), np.uint16)
    for row in (2 * AREA, (2 + far) * AREA):
        for each in (before, now):
            each[row : row + AREA, 3 * AREA : 4 * AREA] = 150
    said = flat_bottom(before, now, black=64.0, span=876.0)
    assert (said is not None) == is_found
