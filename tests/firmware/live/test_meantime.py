"""What no frame waits for is done between frames, a step at the least after each."""

from unittest.mock import Mock, call

import pytest

from firmware.clock import HandClock
from firmware.live.meantime import SHARE, Meantime, timed

FRAME_S = 0.04


def work(done, clock, steps, takes_s=0.0):
    for step in range(steps):
        clock.move(takes_s)
        done.append(step)
        yield


def test_a_step_is_done_after_each_frame_however_late_it_is():
    clock = HandClock()
    done: list[int] = []
    meantime = Meantime(clock)
    meantime.frame()
    meantime.add(work(done, clock, 3, takes_s=1.0))
    for frames in range(1, 4):
        clock.move(FRAME_S)
        meantime.frame()
        meantime.go_on()
        assert len(done) == frames
    meantime.go_on()
    assert meantime.waits == 0


def test_as_many_steps_as_there_is_time_for_and_no_more():
    clock = HandClock()
    done: list[int] = []
    meantime = Meantime(clock)
    meantime.frame()
    clock.move(FRAME_S)
    meantime.frame()
    meantime.add(work(done, clock, 9, takes_s=0.4 * SHARE * FRAME_S))
    meantime.go_on()  # after two there is time left, after three there is none
    assert len(done) == 3


def test_work_is_done_in_its_order_and_the_next_begins_where_one_ends():
    clock = HandClock()
    done: list[int] = []
    meantime = Meantime(clock)
    meantime.add(work(done, clock, 2))
    meantime.add(work(done, clock, 1))
    assert meantime.waits == 2
    meantime.go_on()  # no frame is known to follow: there is all the time
    assert (done, meantime.waits) == ([0, 1, 0], 0)


def test_the_gap_is_that_between_the_last_two_frames():
    clock = HandClock()
    meantime = Meantime(clock)
    meantime.frame()
    clock.move(1.0)
    meantime.frame()
    clock.move(0.02)
    meantime.frame()
    assert meantime.gap_ns == 20_000_000


def test_the_screen_comes_first_for_as_long_as_the_next_frame_is_far():
    """Whoever draws takes the cores until the frame is on the screen; the work is done anyway."""
    clock = HandClock()
    meantime, happened = Meantime(clock), Mock()
    meantime.drawn = happened.drawn
    meantime.frame()
    clock.move(FRAME_S)
    meantime.frame()
    meantime.go_on()
    happened.drawn.wait.assert_not_called()  # nothing waits

    def look():
        happened.step()
        yield

    meantime.add(look())
    clock.move(0.1 * FRAME_S)
    meantime.go_on()
    waited, step = happened.mock_calls[-2:]
    assert waited == call.drawn.wait(pytest.approx((SHARE - 0.1) * FRAME_S))
    assert step == call.step()


def test_what_is_wanted_first_is_done_before_what_waits_already():
    clock = HandClock()
    done: list[int] = []
    meantime = Meantime(clock)
    meantime.add(work(done, clock, 3))
    meantime.add(work(done, clock, 1), first=True)
    meantime.go_on()
    assert done == [0, 0, 1, 2]


def test_what_steps_take_is_told_without_what_lies_between():
    clock = HandClock()
    noted: list[int] = []

    def steps():
        clock.move(0.001)
        yield
        clock.move(0.002)
        return "found"

    taken = timed(steps(), clock, noted.append)
    next(taken)
    clock.move(1.0)
    with pytest.raises(StopIteration) as ended:
        next(taken)
    assert ended.value.value == "found"
    assert noted == [3_000_000]
