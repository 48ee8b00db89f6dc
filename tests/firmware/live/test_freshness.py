import pytest

from firmware.feeds.base import FeedState
from firmware.live.freshness import STALE_NS, look
from overlays.draw.moment.shown import Face

S = 1_000_000_000


def test_live_while_frames_come():
    assert look(10 * S, 10 * S - STALE_NS, None, None).face is Face.LIVE
    assert look(10 * S, 10 * S, FeedState.NO_FRAME_YET, None).face is Face.LIVE


def test_stale_within_half_a_second_of_the_last_frame():
    seen = look(10 * S, 10 * S - S // 2, None, None)
    assert seen.face is Face.STALE
    assert seen.words == "last frame 0.5 s ago"
    assert look(10 * S, 10 * S - S // 2, FeedState.NO_FRAME_YET, None).face is Face.STALE


@pytest.mark.parametrize("state", [s for s in FeedState if s is not FeedState.NO_FRAME_YET])
def test_a_feed_that_says_why_is_quoted(state):
    assert look(10 * S, 9 * S, state, None) == look(10 * S, None, state, None)
    assert look(10 * S, 9 * S, state, None).face is Face.LOST
    words = look(10 * S, 9 * S, state, None).words
    assert words == state.value or state is FeedState.NO_SIGNAL


def test_what_the_face_says_is_not_said_again():
    seen = look(10 * S, 9 * S, FeedState.NO_SIGNAL, None)
    assert seen.face.value == "no signal"
    assert "no signal" not in seen.words
    assert "cable" in seen.words


def test_before_the_first_frame_nothing_is_stale():
    assert look(99 * S, None, None, None).face is Face.STARTING
    assert look(99 * S, None, FeedState.NO_FRAME_YET, None).face is Face.STARTING


def test_a_held_frame_is_held_whatever_the_feed_does():
    seen = look(99 * S, 1 * S, FeedState.GONE, 417)
    assert seen.face is Face.HELD
    assert "417" in seen.words
