from dataclasses import replace

import pytest

from firmware.errors import FrameMissingError
from firmware.feeds.base import FeedState
from firmware.opening.one_frame import take_frame


def test_the_frame_of_a_number_and_every_other_given_back(scripted, frame):
    feed = scripted([frame(number=n) for n in range(5)])
    assert take_frame(feed, 3, feed.clock).number == 3
    assert feed.released == 3


def test_a_feed_may_take_its_time(scripted, frame):
    feed = scripted([FeedState.NO_FRAME_YET] * 3 + [frame()])
    assert take_frame(feed, 0, feed.clock).number == 0


def test_zero_frames(scripted):
    feed = scripted([])
    with pytest.raises(FrameMissingError, match="holds no frame at all"):
        take_frame(feed, 0, feed.clock)


@pytest.mark.parametrize(("count", "words"), [(1, "1 frame, number 0"), (3, "numbers 0 to 2")])
def test_too_high_a_number_says_how_many_there_are(scripted, frame, count, words):
    feed = scripted([frame()] * count)
    with pytest.raises(FrameMissingError, match=words):
        take_frame(feed, 9, feed.clock)


def test_a_silent_feed_is_given_up(scripted):
    feed = scripted([FeedState.NO_SIGNAL] * 100)
    with pytest.raises(FrameMissingError, match=r"no frame within 10 s \(no signal\)"):
        take_frame(feed, 0, feed.clock)
    assert feed.clock.now_ns() < 13e9


@pytest.mark.parametrize("kind", [{"is_live": True}, {"is_live": False, "is_endless": True}])
def test_a_frame_of_the_distant_future_is_not_waited_for(scripted, frame, info, kind):
    feed = scripted([frame()] * 3, replace(info(), **kind))
    with pytest.raises(FrameMissingError, match="has no end"):
        take_frame(feed, 10**30, feed.clock)


def test_long_footage_may_be_long(scripted, frame, info):
    feed = scripted([frame()] * 3, replace(info(), is_live=False))
    with pytest.raises(FrameMissingError, match="holds 3 frames"):
        take_frame(feed, 10**30, feed.clock)
