"""Real pictures with known truth (../shared/scenes/truth.json; origins in its LICENSES.md)."""

import json

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.opening import open_feed
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve

CURVES = {"log-v": "V-Log", "log-s3": "S-Log3", "bt709": "BT.709"}
FILES = [
    ("s01-tree", "s01-tree-10.mov"),
    ("s01-tree", "s01-tree-8.uyvy"),
    ("s02-chart24", "s02-chart24-10.mkv"),
    ("s02-chart24", "s02-chart24-8.mkv"),
    ("s03-wedge36", "s03-wedge36-10.mkv"),
    ("s03-wedge36", "s03-wedge36-8.mkv"),
    ("s04-forest", "s04-forest-10.mkv"),
    ("s04-forest", "s04-forest-8.mkv"),
]


@pytest.fixture(scope="module")
def truth(scenes):
    return {c["name"]: c for c in json.loads((scenes / "truth.json").read_text())["clips"]}


def readings(scenes, clip, file):
    feed = open_feed(str(scenes / file), clock=HandClock(), pace=Pace.STEP)
    frame = feed.read(1.0)
    assert isinstance(frame, Frame)
    yard = yardstick(frame.signal, published_curve(CURVES[clip["curve"]]), shift=frame.shift)
    for patch in clip["patches"]:
        width, height = patch["w"], patch["h"]
        place = SpotPlace(patch["x"] + width // 2, patch["y"] + height // 2, width, height)
        yield patch, read_spot(frame, yard, place)
    feed.release(frame)
    feed.close()


@pytest.mark.parametrize(("name", "file"), FILES)
def test_spots_agree_with_the_truth_within_002_stop(scenes, truth, name, file):
    clip = truth[name]
    misses, covered = [], []
    for patch, spot in readings(scenes, clip, file):
        if max(patch["clipped_rgb"]) > 0.0:
            assert spot.clipped > 0.0
            assert any("clipped" in w for w in spot.warnings)
            continue
        assert spot.clipped < 0.02
        misses.append(abs(spot.stops - patch["stops"]))
        # the truth is printed to four digits of a stop
        covered.append(misses[-1] <= spot.stops_pm + 5e-5)
    assert max(misses) <= 0.02
    assert np.mean(covered) >= 0.94


@pytest.mark.parametrize(("name", "file"), FILES)
def test_percent_agrees_with_the_mean_level_of_the_truth(scenes, truth, name, file):
    for patch, spot in readings(scenes, truth[name], file):
        if max(patch["clipped_rgb"]) == 0.0:
            # a code of 8 bits is 0.46 %
            assert spot.percent == pytest.approx(patch["ire"], abs=0.2)
