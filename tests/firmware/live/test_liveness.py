"""Age and loss of the frame on the screen; with a whole loop in test_frozen."""

from dataclasses import replace

import pytest

from firmware.clock import HandClock
from firmware.feeds.base import FeedState
from firmware.live.hooks import Hooks
from firmware.live.liveness import MEASURING, Liveness
from firmware.system.compiling import FIRST_START, MADE_LATELY_NS, ONE_KERNEL_NS, Compiling
from firmware.system.stages import LOOKED_BACK, QUIET_NS, SLOWEST_NS
from overlays.draw.moment.shown import Face

S = 1_000_000_000


@pytest.fixture
def clock():
    return HandClock(100 * S)


def test_the_first_frame_is_waited_for_and_what_it_waits_for_is_said(clock):
    made, words = [0], [""]
    hooks = Hooks(preparing=lambda: words[0], made=lambda: made[0])
    stages, liveness = hooks.stages, Liveness(clock, hooks)

    def seen():
        return liveness.look(clock.now_ns(), None, None)

    assert seen().words == "waiting for the first frame"
    stages.arrived_ns = clock.now_ns()
    stages.measuring.beat(clock.now_ns())
    clock.move(1.0)
    assert (seen().face, seen().words) == (Face.STARTING, MEASURING)
    words[0] = "preparing: 3 parts"
    for _ in range(100):
        made[0] += 1
        clock.move(1.0)
        assert (seen().face, seen().words) == (Face.STARTING, "preparing: 3 parts")
    clock.move((MADE_LATELY_NS + SLOWEST_NS) / S)  # no longer at work: the stage hangs
    assert seen().face is Face.STALLED


def test_a_step_of_the_compiler_that_takes_minutes_is_never_called_a_stall(clock):
    """As on a card without kernels: one step takes its board more than two seconds."""
    compiling = Compiling()
    hooks = Hooks(
        preparing=lambda: compiling.words,
        made=lambda: compiling.moved,
        is_making=lambda: compiling.is_making,
    )
    stages, liveness = hooks.stages, Liveness(clock, hooks)
    stages.arrived_ns = clock.now_ns()
    stages.measuring.beat(clock.now_ns())

    def seen():
        found = liveness.look(clock.now_ns(), None, None)
        return found.face, found.words

    for part in range(1, 4):
        compiling.one_more()
        for _ in range(4):
            compiling.a_step()
            for _ in range(50):  # far longer than two seconds without a word
                clock.move(1.0)
                assert seen() == (Face.STARTING, f"{FIRST_START}: {part} of about 110 parts")
        compiling.one_done()
    assert seen()[0] is Face.STARTING
    clock.move(SLOWEST_NS / S)  # all is made: the frame itself is measured now
    assert seen()[0] is Face.STARTING
    clock.move(1.0)
    assert seen()[0] is Face.STALLED


def test_a_compiler_that_hangs_is_no_excuse_for_ever(clock):
    compiling = Compiling()
    hooks = Hooks(made=lambda: compiling.moved, is_making=lambda: compiling.is_making)
    stages, liveness = hooks.stages, Liveness(clock, hooks)
    stages.arrived_ns = clock.now_ns()
    stages.measuring.beat(clock.now_ns())
    compiling.one_more()
    assert liveness.look(clock.now_ns(), None, None).face is Face.STARTING
    clock.move(ONE_KERNEL_NS / S + 1.0)
    assert liveness.look(clock.now_ns(), None, None).face is Face.STALLED


def test_a_picture_that_waits_for_the_compiler_names_it(clock):
    compiling = Compiling()
    hooks = Hooks(made=lambda: compiling.moved, is_making=lambda: compiling.is_making)
    stages, liveness = hooks.stages, Liveness(clock, hooks)
    liveness.took(clock.now_ns(), None)
    stages.measuring.beat(clock.now_ns())
    compiling.compiler(1)
    liveness.look(clock.now_ns(), None, None)
    clock.move(40.0)
    seen = liveness.look(clock.now_ns(), None, None)
    assert (seen.face, seen.words) == (Face.STALLED, "measuring: its code is being prepared")


def test_the_age_is_that_of_the_frame_shown_and_a_slow_machine_gets_longer(clock):
    liveness = Liveness(clock, Hooks())
    for _ in range(5):
        liveness.took(clock.now_ns(), None)
        clock.move(1.0)
    assert liveness.limit_ns == 3 * S // 2
    assert liveness.look(clock.now_ns(), None, None).face is Face.LIVE
    for _ in range(LOOKED_BACK):
        liveness.took(clock.now_ns(), None)
        clock.move(0.04)
    assert liveness.limit_ns == QUIET_NS


def test_what_was_lost_is_lost_until_a_frame_of_it_comes_out(clock):
    liveness = Liveness(clock, Hooks())
    liveness.took(clock.now_ns(), None)
    assert liveness.look(clock.now_ns(), FeedState.GONE, None).face is Face.LOST
    clock.move(9.0)
    assert liveness.look(clock.now_ns(), None, None).face is Face.LOST
    liveness.passed(None)  # behind a held one
    assert liveness.look(clock.now_ns(), None, 7).face is Face.HELD
    liveness.took(clock.now_ns(), None)
    assert liveness.look(clock.now_ns(), None, None).face is Face.LIVE


def test_a_feed_at_its_own_pace_is_neither_stale_nor_stalled_while_it_decodes(clock, info):
    hooks = Hooks()
    stages, liveness = hooks.stages, Liveness(clock, hooks)
    slow = replace(info(), takes_s=0.6)

    def face(now):
        return liveness.look(clock.now_ns(), None, None, now).face

    stages.capture.beat(clock.now_ns())
    liveness.took(clock.now_ns(), None)
    clock.move(1.2)
    assert face(slow) is Face.LIVE
    assert face(info()) is Face.STALLED
    clock.move(2.0)  # but what takes far longer than its pictures do is none
    assert face(slow) is Face.STALLED


def test_a_frame_waits_for_its_place_only_where_the_feed_goes_at_its_own_pace(clock, info):
    hooks = Hooks()
    stages, liveness = hooks.stages, Liveness(clock, hooks)
    liveness.look(clock.now_ns(), None, None, info())
    came_ns = clock.now_ns()
    clock.move(3.0)
    assert liveness.patience_s == 0.0
    assert liveness.is_late(came_ns)
    liveness.look(clock.now_ns(), None, None, replace(info(), takes_s=0.1))
    assert liveness.patience_s == pytest.approx(0.4)
    assert not liveness.is_late(came_ns)  # there is no newer one that is worth more
    # And not for longer: a thread that hangs is to be called so.
    assert stages.measuring.granted_ns == pytest.approx(0.4e9 + QUIET_NS, rel=1e-6)
    stages.measuring.beat(clock.now_ns())
    clock.move(0.6)  # for a place on the screen
    assert not stages.measuring.is_stalled(clock.now_ns())
    liveness.look(clock.now_ns(), None, None, replace(info(), takes_s=60.0))
    assert liveness.patience_s == pytest.approx(0.5)
