"""What is claimed of a feed was measured on it, and nothing else is."""

from dataclasses import replace

import numpy as np
import pytest

from firmware.feeds.base import FeedState
from firmware.selftest.feed_looks import (
    NO_FEED,
    look_at_camera,
    look_at_changes,
    look_at_codes,
    look_at_order,
)
from firmware.selftest.found import RowOutcome
from tests.firmware.selftest.conftest import frame

GREY = np.full((6, 8), 128, np.uint8)


def luma(*codes, bits=8):
    plane = np.full((6, 8), 100 << (bits - 8), np.uint8 if bits == 8 else np.uint16)
    plane[0, : len(codes)] = codes
    chroma = GREY.astype(plane.dtype)
    return frame(plane, chroma, chroma, bits=bits)


@pytest.mark.parametrize(
    ("given", "outcome", "below", "above"),
    [
        (luma(3, 240, 240), RowOutcome.AS_EXPECTED, 1, 2),
        (luma(16, 235), RowOutcome.OPEN, 0, 0),
        (luma(0, 255), RowOutcome.OPEN, 0, 0),  # 0 and 255 are kept for timing (BT.656)
        (luma(5), RowOutcome.OPEN, 1, 0),
        (luma(12, 960, bits=10), RowOutcome.AS_EXPECTED, 1, 1),
    ],
)
def test_codes_at_both_ends_are_counted(around, feeding, given, outcome, below, above):
    feeding(given)
    found = look_at_codes(around)
    assert found.outcome is outcome
    assert [each.value for each in found.figures] == ["a mode", below, above]


@pytest.mark.parametrize(
    ("means", "outcome", "said"),
    [
        ((10, 12, 200), RowOutcome.AS_EXPECTED, "B is high"),
        ((200, 12, 10), RowOutcome.OPEN, "R is high"),
        ((90, 90, 90), RowOutcome.OPEN, "has to be blue"),
    ],
)
def test_the_order_is_judged_by_the_one_colour_that_is_high(around, feeding, means, outcome, said):
    specs = feeding(frame(*(np.full((6, 8), each, np.uint8) for each in means), rgb=True))
    found = look_at_order(around)
    assert specs == ["v4l2:/dev/video0,format=RGB3"]
    assert found.outcome is outcome
    assert said in found.words
    assert [each.value for each in found.figures] == list(means)


def test_every_change_is_written_down_with_its_time(around, feeding):
    shown = luma()
    gone = FeedState.NO_SIGNAL
    feeding(shown, shown, FeedState.NO_FRAME_YET, gone, gone, shown)
    found = look_at_changes(around)
    assert found.outcome is RowOutcome.OPEN
    assert [(each.name, each.value) for each in found.figures] == [
        ("after 0.10 s", "pictures, a mode"),
        ("after 0.40 s", "no signal"),
        ("after 0.60 s", "pictures, a mode"),
    ]
    assert around.clock.now_ns() >= 2e9


def test_where_nobody_is_there_it_says_how_the_feed_is_and_goes_on(around, feeding):
    feeding(FeedState.UNPLUGGED)
    found = look_at_changes(replace(around, follow_s=0.0))
    assert found.outcome is RowOutcome.OPEN
    assert [each.value for each in found.figures] == ["nothing plugged in"]
    assert "somebody has to do this" in found.words


@pytest.mark.parametrize("look", [look_at_codes, look_at_order, look_at_changes])
def test_without_a_device_or_with_a_simulated_one_nothing_is_claimed(around, feeding, look):
    assert look(replace(around, feed=None)).words == NO_FEED
    feeding(luma(3, 240), simulated=True)
    found = look(around)
    assert found.outcome is RowOutcome.CANNOT
    assert "is no camera" in found.words


def test_a_device_without_a_picture_is_no_finding(around, feeding):
    feeding(FeedState.NO_SIGNAL)
    assert look_at_codes(around).outcome is RowOutcome.CANNOT
    assert "no signal" in look_at_codes(around).words


def test_the_camera_is_looked_at_both_ways_and_its_steps_are_left_to_eyes(around, feeding):
    assert feeding(luma()) == []
    found = look_at_camera(around)
    assert found.outcome is RowOutcome.OPEN
    assert [each.name for each in found.figures] == ["camera", "camera:raw"]
    feeding(luma(), only="camera")
    assert look_at_camera(around).outcome is RowOutcome.OTHERWISE
    feeding(luma(), only="nothing")
    assert look_at_camera(around).outcome is RowOutcome.CANNOT
