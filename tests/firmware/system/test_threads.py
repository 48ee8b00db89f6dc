import threading
import time
from functools import partial

import pytest

from firmware.errors import ThreadStuckError
from firmware.system.compiling import ONE_KERNEL_NS
from firmware.system.threads import ASIDE_S, STOP_S, Aside, Newest, Worker, stop_all


def test_the_newest_takes_the_place_of_the_older_which_comes_back():
    hand = Newest[str]()
    assert hand.put("a") is None
    assert hand.put("b") == "a"
    assert hand.take(0.0) == "b"
    assert hand.take(0.0) is None


def test_one_who_is_patient_leaves_a_thing_once_the_older_is_taken():
    hand, left = Newest[str](), []
    assert hand.put("a", 60.0) is None  # nothing to wait for
    patient = threading.Thread(target=lambda: left.append(hand.put("b", 60.0)))
    patient.start()
    patient.join(0.05)
    assert patient.is_alive()
    assert hand.take(0.0) == "a"
    patient.join(5.0)
    assert (left, hand.take(0.0)) == ([None], "b")


def test_patience_ends_and_whoever_is_woken_goes_on():
    hand = Newest[str]()
    hand.put("a")
    assert hand.put("b", 0.01) == "a"
    left, woken = [], threading.Event()

    def leave():
        left.append(hand.put("c", 60.0))
        woken.set()

    patient = threading.Thread(target=leave)
    patient.start()
    while not woken.wait(0.01):
        hand.wake()
    patient.join(5.0)
    assert left == ["b"]


def test_a_waiting_taker_gets_what_is_put():
    hand, got, waiting = Newest[str](), [], threading.Event()

    def taker():
        waiting.set()
        got.append(hand.take(5.0))

    thread = threading.Thread(target=taker)
    thread.start()
    assert waiting.wait(5.0)
    hand.put("here")
    thread.join(5.0)
    assert got == ["here"]


def test_a_worker_turns_until_it_is_told_to_stop():
    turned = threading.Event()
    worker = Worker("turner", turned.set)
    worker.start()
    assert turned.wait(5.0)
    stop_all(worker)
    assert worker.fault is None
    assert "turner" not in {thread.name for thread in threading.enumerate()}


def test_a_taker_that_waits_ends_when_it_is_told_to_stop():
    hand, waiting = Newest[str](), threading.Event()

    def turn():
        waiting.set()
        hand.take(60.0)

    worker = Worker("taker", turn)
    worker.start()
    assert waiting.wait(5.0)
    stop_all(worker, waiting_at=[hand])
    assert "taker" not in {thread.name for thread in threading.enumerate()}


def test_a_pause_ends_when_the_worker_is_told_to_stop():
    paused = threading.Event()

    def turn():
        paused.set()
        worker.pause(60.0)

    worker = Worker("sleeper", turn)
    worker.start()
    assert paused.wait(5.0)
    stop_all(worker)


def test_a_thread_that_outlives_its_deadline_is_named():
    entered, leave = threading.Event(), threading.Event()

    def turn():
        entered.set()
        leave.wait(30.0)

    worker = Worker("stubborn", turn)
    worker.start()
    assert entered.wait(5.0)
    worker.ask_to_stop()
    with pytest.raises(ThreadStuckError, match="'stubborn' did not stop within"):
        worker.join(0.01)
    leave.set()
    worker.join(5.0)


def test_threads_that_work_finish_their_turn_and_share_one_deadline():
    # Longer than one that only waits is given: a first frame takes seconds on a slow board.
    slow, begun = [], [threading.Event(), threading.Event()]

    def turn(number):
        begun[number].set()
        threading.Event().wait(STOP_S + 0.2)
        slow.append(number)

    workers = [Worker(f"slow {each}", partial(turn, each)) for each in range(2)]
    for worker, at_work in zip(workers, begun, strict=True):
        worker.start()
        assert at_work.wait(5.0)
    start = time.monotonic()
    both = r"thread 'slow 0' and 'slow 1' did not stop within 0\.05 seconds"
    with pytest.raises(ThreadStuckError, match=both):
        stop_all(*workers, deadline_s=0.05)
    assert time.monotonic() - start < STOP_S
    stop_all(*workers)
    assert sorted(slow) == [0, 1]


def test_a_fault_is_kept_for_whoever_looks():
    def turn():
        raise ValueError("broken")

    worker = Worker("faulty", turn)
    worker.start()
    worker.join(5.0)
    assert isinstance(worker.fault, ValueError)


def test_stopping_what_never_started_is_harmless():
    stop_all(Worker("idle", lambda: None))


def test_a_thing_made_aside_comes_back_or_its_fault_does():
    made = Aside("aside", lambda: threading.current_thread().name)
    assert made.result() == made.result() == "aside"

    def fails():
        raise LookupError("nothing there")

    with pytest.raises(LookupError, match="nothing there"):
        Aside("aside", fails).result()


def test_one_that_takes_too_long_is_not_waited_for():
    let_go = threading.Event()
    slow = Aside("slow", let_go.wait)
    with pytest.raises(ThreadStuckError, match=r"'slow' took longer than 0\.01 seconds"):
        slow.result(0.01)
    let_go.set()
    assert slow.result() is True


def test_what_is_made_aside_may_wait_for_the_longest_step_of_a_compiler():
    assert ASIDE_S * 1e9 >= ONE_KERNEL_NS
