from dataclasses import replace

import pytest

from firmware.feeds.base import FeedState
from firmware.live.freshness import STALE_NS, Freshness, Signs, look, status_of
from firmware.system.stages import SLOWEST_NS, Stage, Stages
from overlays.draw.moment.shown import Face

S = 1_000_000_000
FRESH = Signs(shown_ns=10 * S, state=None)
LOST = [s for s in FeedState if s not in {FeedState.NO_FRAME_YET, FeedState.DAMAGED}]


def silent(name, since_ns):
    stage = Stage(name)
    stage.beat(since_ns)
    return stage


def test_live_while_the_frame_on_the_screen_is_fresh():
    assert look(10 * S + STALE_NS, FRESH).face is Face.LIVE
    assert look(10 * S, replace(FRESH, state=FeedState.NO_FRAME_YET)).face is Face.LIVE


def test_stale_within_half_a_second_of_the_frame_that_is_shown():
    seen = look(10 * S + S // 2, FRESH)
    assert seen == Freshness(Face.STALE, "last frame 0.5 s ago")
    assert look(10 * S + S // 2, replace(FRESH, state=FeedState.NO_FRAME_YET)) == seen
    assert look(75 * S, FRESH).words == "last frame 65 s ago"


def test_on_a_slow_machine_a_frame_may_be_older():
    assert look(12 * S, replace(FRESH, limit_ns=2 * S)).face is Face.LIVE


@pytest.mark.parametrize("state", LOST)
def test_a_feed_that_says_why_is_quoted_at_once(state):
    signs = replace(FRESH, state=state)
    assert look(10 * S, signs) == look(10 * S, replace(signs, shown_ns=None))
    assert look(10 * S, signs).face is Face.LOST
    words = look(10 * S, signs).words
    assert words == state.value or state in {FeedState.NO_SIGNAL, FeedState.ABSENT}


def test_what_is_missing_is_named():
    signs = Signs(None, FeedState.ABSENT, name="v4l2:/dev/video0")
    assert look(0, signs).words == "v4l2:/dev/video0 is not there yet, looking for it"


def test_frames_that_are_damaged_now_and_then_are_no_loss():
    signs = replace(FRESH, state=FeedState.DAMAGED)
    assert look(10 * S + STALE_NS, signs).face is Face.LIVE
    lost = Freshness(Face.LOST, FeedState.DAMAGED.value)
    assert look(10 * S + STALE_NS + 1, signs) == look(10 * S, replace(signs, shown_ns=None)) == lost


def test_what_the_face_says_is_not_said_again():
    seen = look(10 * S, replace(FRESH, state=FeedState.NO_SIGNAL))
    assert seen.face.value == "no signal"
    assert "no signal" not in seen.words
    assert "cable" in seen.words


def test_before_the_first_frame_nothing_is_stale():
    for state in (None, FeedState.NO_FRAME_YET):
        assert look(99 * S, Signs(None, state)).face is Face.STARTING


def test_a_held_frame_is_held_whatever_the_feed_does():
    seen = look(99 * S, replace(FRESH, state=FeedState.GONE, held=417))
    assert seen.face is Face.HELD
    assert "417" in seen.words


@pytest.mark.parametrize("name", ["capture", "measuring"])
def test_a_stage_that_hangs_is_named_however_fresh_the_frame(name):
    signs = replace(FRESH, stalled=silent(name, 10 * S - S // 2))
    seen = look(10 * S, signs)
    assert seen.face is Face.STALLED
    assert seen.words.startswith(f"{name}: ")
    assert "0.5 s" in seen.words
    busy = look(10 * S, replace(signs, working="its code is being prepared"))
    assert busy == Freshness(Face.STALLED, f"{name}: its code is being prepared")


def test_a_feed_that_is_lost_may_take_its_time_but_not_for_ever():
    signs = replace(FRESH, state=FeedState.GONE, stalled=silent("capture", 10 * S))
    assert look(10 * S + SLOWEST_NS, signs).face is Face.LOST
    assert look(10 * S + SLOWEST_NS + 1, signs).face is Face.STALLED


def test_a_lamp_that_does_not_follow_is_said_while_all_else_is_live():
    signs = replace(FRESH, lamp_stalled=True)
    assert look(10 * S, signs).face is Face.LAMP
    assert look(11 * S, signs).face is Face.STALE


def test_the_units_status_names_what_the_screen_cannot():
    stages, live = Stages(), Freshness(Face.LIVE, "")
    lost = Freshness(Face.LOST, "device gone")
    assert status_of(S, live, stages) == "live"
    assert status_of(S, lost, stages) == "no signal: device gone"
    starting = Freshness(Face.STARTING, "first start on this machine")
    assert status_of(S, starting, stages) == "starting: first start on this machine"
    stages.measuring.beat(S)
    assert status_of(2 * S, starting, stages) == "starting: first start on this machine"
    stages = Stages()
    for stage, said in ((stages.measuring, "measuring"), (stages.drawing, "screen is frozen")):
        stage.beat(S)
        assert said not in status_of(S, live, stages)
        assert said in status_of(2 * S, live, stages)
        assert status_of(2 * S, live, stages).startswith("stalled: ")
