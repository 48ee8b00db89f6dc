import numpy as np
import pytest

from firmware.errors import ArgumentError
from firmware.instruments.feedcheck import FeedcheckOptions
from firmware.instruments.feedcheck.feeds_read import (
    BEFORE,
    check_depth,
    feeds_of,
    wanted_feed,
)
from overlays.measure.feedcheck.readings import What


def test_feeds_are_read_in_the_order_of_the_work():
    options = FeedcheckOptions(cap="a", card="b#4", clip="c", dark="d", at="9,9", range="full")
    assert list(feeds_of(options).items()) == [
        (What.CAP, "a"),
        (What.CARD, "b#4"),
        (What.CLIP, "c"),
        (What.DARK, "d"),
    ]
    wanted = wanted_feed("b#4", options)
    assert (wanted.feed, wanted.frame, wanted.at) == ("b", 4, ("9,9",))
    assert set(BEFORE) == set(What)
    assert "never at the sun" in BEFORE[What.CLIP]


def test_feeds_of_two_depths_cannot_be_compared(lit):

    scene = lit(np.full((64, 64, 3), 0.18))
    bits = scene.frame.signal.bits
    check_depth(bits, What.CARD, scene)
    with pytest.raises(ArgumentError, match="the same feed"):
        check_depth(bits + 2, What.CARD, scene)


def test_each_feed_may_say_where_in_it_to_read():
    options = FeedcheckOptions(cap="a", card="b", clip="c", at="0.5,0.5")
    assert wanted_feed("take.mov#3@0.61,0.43", options).at == ("0.61,0.43",)
    assert wanted_feed("take.mov#3@0.61,0.43", options).frame == 3
    assert wanted_feed("take.mov", options).at == ("0.5,0.5",)
