"""Ceilings that the frames beside the one asked for show, on footage as on a feed that runs."""

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.opening import open_feed
from firmware.instruments.asking import Opener, Wanted
from firmware.opening.beside import EACH_SIDE, has_frames_beside
from tests.clipped_frames import CEILINGS, MID_GREY, clipped_frame, room, sensed, with_lamp
from tests.colour_frames import frame_of

TOP = [float(np.log2(each / MID_GREY)) for each in CEILINGS]


def dim():
    """A room without anything that the camera cannot hold."""
    return frame_of(sensed(room(high=0.0)), "S-Log3", 8, 0.4)


def sun():
    """Light above those ceilings in all channels: then they are none."""
    return clipped_frame(0.02, 0.4, 8, ceilings=tuple(4.0 * each for each in CEILINGS))


def footage(folder, *frames):
    """Raw UYVY, 8 bits, of frames of 4:2:2."""
    path, out = folder / "made.uyvy", []
    for frame in frames:
        luma, cb, cr = frame.planes
        cb, cr = (p if p.shape != luma.shape else p[:, ::2] for p in (cb, cr))
        out.append(
            np.stack([cb, luma[:, ::2], cr, luma[:, 1::2]], axis=-1).astype(np.uint8).tobytes()
        )
    path.write_bytes(b"".join(out))
    return f"{path}:size={frames[0].columns}x{frames[0].rows}"


def flat_top(feed, number):
    with Opener(HandClock()).scene(Wanted(feed, "log-s3", frame=number)) as scene:
        assert scene.frame.number == number
        return scene.range.flat_top, scene


@pytest.mark.parametrize("number", [0, EACH_SIDE, 2 * EACH_SIDE])
def test_what_a_frame_beside_shows_is_the_clip(tmp_path, number):
    dark = [dim() for _ in range(EACH_SIDE)]
    feed = footage(tmp_path, *dark, clipped_frame(0.02, 0.4, 8), *dark)
    top, scene = flat_top(feed, number)
    for percent, stops in zip(top.percents, TOP, strict=True):
        assert scene.yard.carried.percent_to_stops(percent) == pytest.approx(stops, abs=0.1)
    words = " ".join(scene.range.warnings)
    assert ("another picture was flat there" in words) is (number != EACH_SIDE)


def test_frames_further_away_are_not_looked_at(tmp_path):
    dark = [dim() for _ in range(EACH_SIDE + 1)]
    feed = footage(tmp_path, *dark, clipped_frame(0.02, 0.4, 8), *dark)
    for number in (0, 2 * EACH_SIDE + 2):
        assert flat_top(feed, number)[0] is None


def test_light_above_it_shows_that_it_was_none(tmp_path):
    feed = footage(tmp_path, sun(), clipped_frame(0.02, 0.4, 8))
    top, scene = flat_top(feed, 0)
    stops = [scene.yard.carried.percent_to_stops(p) for p in top.percents]
    assert stops == pytest.approx([each + 2.0 for each in TOP], abs=0.1)


def test_a_lamp_that_passes_it_takes_it_away(tmp_path):
    light = with_lamp(room(), 0.02, peak=7.0)  # under the end of the codes
    lamp = frame_of(sensed(light, (1e9, 1e9, 1e9)), "S-Log3", 8, 0.4)
    assert flat_top(footage(tmp_path, lamp, clipped_frame(0.02, 0.4, 8)), 0)[0] is None


def test_only_footage_has_frames_beside(tmp_path):
    still, bench = tmp_path / "one.uyvy", "bench:size=64x36"
    still.write_bytes(bytes([128]) * 64 * 36 * 2)
    for name, is_footage in ((f"{still}:size=64x36", True), (bench, False)):
        feed = open_feed(name, clock=HandClock(), pace=Pace.STEP)
        assert has_frames_beside(feed) is is_footage
        feed.close()
