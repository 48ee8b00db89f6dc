import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from overlays.measure.suspicion.by_picture import bars, blocks, by_picture, standing
from overlays.measure.suspicion.suspected import Sign
from overlays.signal.frame import Frame
from overlays.signal.levels import luma_scale


def frames_of(text, count=1):
    feed = BenchFeed(f"size=640x360,{text}", clock=HandClock(), pace=Pace.STEP)
    found = [feed.read(1.0) for _ in range(count)]
    assert all(isinstance(each, Frame) for each in found)
    return found


def test_bars_are_found_with_their_share():
    (frame,) = frames_of("bars=2.39")
    found = bars(frame)
    assert found is not None
    # 640 / 2.39 = 268 rows of picture in 360.
    assert found.share == pytest.approx(1.0 - 268.0 / 360.0, abs=0.02)


@pytest.mark.parametrize("text", ["", "exposure=-12", "noise=0", "exposure=6"])
def test_where_there_are_no_bars_none_are_found(text):
    assert bars(frames_of(text)[0]) is None


def test_blocks_are_found_and_only_they():
    assert blocks(frames_of("blocks=yes")[0]) is not None
    assert blocks(frames_of("")[0]) is None
    assert Sign.BLOCKS in {each.sign for each in by_picture(frames_of("blocks=yes")[0])}


def still(text):
    before, now = (frame.planes[0][::2, ::2].copy() for frame in frames_of(text, 2))
    (frame,) = frames_of("")
    return standing(before, now, luma_scale(frame.signal).span)


def test_signs_that_stand_still_in_noise_are_found():
    found = still("menu=yes")
    assert found is not None
    assert 0.01 < found.share < 0.24 * 0.24  # of its box only lines of signs


@pytest.mark.parametrize("text", ["", "menu=yes,noise=0", "noise=0,cloud=0", "exposure=7"])
def test_what_stands_still_as_a_whole_says_nothing(text):
    assert still(text) is None


def test_pictures_too_small_for_areas_say_nothing():
    tiny = np.zeros((8, 8), np.uint8)
    assert standing(tiny, tiny, 219.0) is None
