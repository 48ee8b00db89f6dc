"""What no frame waits for is done between frames, a step at the least after each."""

from threading import Thread

from firmware.clock import HandClock
from firmware.live.meantime import SHARE, Meantime

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


def test_the_screen_comes_first():
    """Whoever draws takes the cores until the frame is on the screen; but work is done anyway."""
    clock = HandClock()
    meantime = Meantime(clock)
    drawn: list[bool] = []

    def look():
        drawn.append(meantime.drawn.is_set())
        yield

    def draw():
        meantime.drawn.set()

    for screen in (draw, lambda: None):
        meantime.frame()
        clock.move(FRAME_S)
        meantime.frame()
        meantime.add(look())
        thread = Thread(target=screen)
        thread.start()
        meantime.go_on()
        thread.join()
    assert drawn == [True, False]
