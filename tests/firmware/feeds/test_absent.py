"""A feed that is not there says so, and nothing else."""

import pytest

from firmware.clock import HandClock
from firmware.feeds.absent import AbsentFeed
from firmware.feeds.base import Feed, FeedState

WHY = "no capture device at /dev/video0; `midgrey doctor` lists those found"


def test_it_is_a_feed_without_frames_that_waits_no_longer_than_it_may():
    clock = HandClock(10**9)
    feed = AbsentFeed("v4l2:/dev/video0", WHY, clock)
    assert isinstance(feed, Feed)
    assert feed.read(0.1) is FeedState.ABSENT
    assert clock.now_ns() == 1_100_000_000
    assert not feed.info.is_simulated
    feed.close()
    feed.close()
    assert feed.read(0.1) is FeedState.GONE


@pytest.mark.parametrize(
    ("why", "said"),
    [(WHY, f"v4l2:/dev/video0: {WHY}"), ("v4l2:/dev/video0 is busy", "v4l2:/dev/video0 is busy")],
)
def test_what_is_missing_is_named_once(why, said):
    assert AbsentFeed("v4l2:/dev/video0", why, HandClock()).info.warnings == (said,)
