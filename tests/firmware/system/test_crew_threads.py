import os
import threading
import time
import weakref

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firmware.errors import ThreadStuckError
from firmware.system import crew_threads as crews
from firmware.system.crew_threads import ThreadCrew, usable_cores, usual_workers
from overlays.draw.picture.picture import PictureDrawer
from overlays.measure.counting.census import take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.published import published_curve
from tests.overlays.measure.counting.test_census import ALL, LAYOUTS, frame_of


@pytest.fixture
def crew():
    made = ThreadCrew(3, deadline_s=5.0)
    made.ask(3)
    yield made
    made.close()


def helpers():
    return {each.name for each in threading.enumerate() if each.name.startswith("helper")}


def test_every_task_is_done_once(crew):
    done = []
    crew.together([lambda n=n: done.append(n) for n in range(50)])
    assert sorted(done) == list(range(50))


def test_others_really_help(crew):
    met = threading.Barrier(3)
    crew.together([lambda: met.wait(5.0)] * 3)  # ends only if three threads are there at once
    assert helpers() == {"helper 1", "helper 2"}


def test_several_callers_share_the_same_helpers(crew):
    met, done = threading.Barrier(2), []

    def call():
        met.wait(5.0)
        for _ in range(40):
            crew.together([lambda: done.append(1)] * 4)

    threads = [threading.Thread(target=call) for _ in range(2)]
    for each in threads:
        each.start()
    for each in threads:
        each.join(10.0)
    assert len(done) == 2 * 40 * 4
    assert len(helpers()) <= 2


class Slow:
    """A queue whose users are put aside by the system right after they have put something in."""

    def __init__(self, queue):
        self._queue = queue

    def put(self, thing):
        self._queue.put(thing)
        if threading.current_thread().name.startswith("helper"):
            time.sleep(0.3)

    def get(self, timeout):
        return self._queue.get(timeout=timeout)


def test_what_tasks_work_on_is_let_go_of_when_they_are_done(crew, monkeypatch):
    """Seen on a busy machine: a helper still held the screen's pixels, and nothing was drawn."""
    made = crews._Job.__init__

    def slowly(job, tasks):
        made(job, tasks)
        job._ended = Slow(job._ended)

    monkeypatch.setattr(crews._Job, "__init__", slowly)
    pixels = np.zeros(9)
    left = weakref.ref(pixels)
    met = threading.Barrier(3)
    crew.together([lambda _=pixels: met.wait(5.0)] * 3)
    del pixels
    assert left() is None


def test_what_a_task_raises_is_raised_once_all_have_ended(crew):
    done = []

    def fail():
        raise ValueError("of a task")

    with pytest.raises(ValueError, match="of a task"):
        crew.together([fail, *[lambda: done.append(1)] * 9])
    assert len(done) == 9
    crew.together([lambda: done.append(1)] * 3)  # and the helpers go on
    assert len(done) == 12


def test_a_task_that_does_not_end_is_not_waited_for_for_ever():
    crew, go_on = ThreadCrew(2, deadline_s=0.05), threading.Event()
    crew.ask(2)
    met = threading.Barrier(2)

    def one():
        met.wait(5.0)
        if threading.current_thread().name.startswith("helper"):
            go_on.wait(5.0)

    with pytest.raises(ThreadStuckError, match=r"took longer than 0\.05 seconds"):
        crew.together([one, one])
    go_on.set()
    crew.close()


def test_one_worker_begins_no_thread():
    crew = ThreadCrew(1)
    before, done = helpers(), []
    crew.together([lambda: done.append(threading.current_thread())] * 3)
    assert set(done) == {threading.current_thread()}
    assert helpers() == before


def test_as_many_work_as_are_asked_for(crew):
    crew.ask(2)
    crew.together([lambda: None] * 9)
    assert (crew.workers, helpers()) == (2, {"helper 1"})
    crew.ask(9)
    assert crew.workers == 3  # no more than there are cores
    crew.ask(0)
    assert crew.workers == 1
    crew.ask(None)
    assert crew.workers == 2  # all but one


def test_once_closed_the_caller_works_alone(crew):
    crew.together([lambda: None] * 3)
    crew.close()
    assert helpers() == set()
    done = []
    crew.together([lambda: done.append(1)] * 3)
    assert done == [1, 1, 1]


@pytest.mark.parametrize(("cores", "workers"), [(1, 1), (2, 1), (3, 2), (4, 3), (8, 7), (99, 16)])
def test_one_core_is_left_to_the_rest(cores, workers):
    assert usual_workers(cores) == workers
    assert ThreadCrew(cores).workers == workers


def test_only_cores_that_the_process_may_use_count(monkeypatch):
    monkeypatch.setattr(os, "sched_getaffinity", lambda _pid: {3, 5}, raising=False)
    assert usable_cores() == 2


@settings(max_examples=10, deadline=None)
@given(st.sampled_from(LAYOUTS), st.integers(2, 40), st.integers(2, 60), st.integers(2, 5))
def test_threads_count_and_draw_what_one_does(layout, rows, columns, workers):
    frame = frame_of(layout, rows, columns)
    yard = yardstick(frame.signal, published_curve("BT.709"), shift=frame.shift)
    one, several = np.zeros((31, 47), np.uint32), np.zeros((31, 47), np.uint32)
    PictureDrawer().draw(frame, yard, (), one)
    crew = ThreadCrew(workers)
    crew.ask(workers)
    try:
        shared = take_census(frame, yard, ALL, crew=crew)
        PictureDrawer().draw(frame, yard, (), several, crew=crew)
    finally:
        crew.close()
    alone = take_census(frame, yard, ALL)
    for name in ("levels", "chroma", "rgb", "clipped"):
        np.testing.assert_array_equal(getattr(alone, name), getattr(shared, name))
    np.testing.assert_array_equal(one, several)
