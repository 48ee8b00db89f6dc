"""The lamp in its own thread: what it does when the screen hangs, and when its pin does."""

import threading
import time
from types import SimpleNamespace

from firmware.clock import HandClock, SystemClock
from firmware.controls.lamp import Glow
from firmware.controls.lamp_keeper import LampKeeper
from firmware.controls.saying import Saying
from firmware.system.stages import Stages


class PaperLamp:
    """Writes down what it is told."""

    def __init__(self):
        self.said, self.closed = [], 0

    def say(self, glow):
        self.said.append(glow)

    def close(self):
        self.closed += 1


def test_it_does_what_the_screen_says():
    lamp = PaperLamp()
    keeper = LampKeeper(lamp, HandClock(), Stages())
    for glow in (Glow.LIT, Glow.DARK):
        keeper.say(glow)
        keeper.step()
    assert lamp.said == [Glow.LIT, Glow.DARK]


def test_it_flashes_while_the_drawing_hangs_and_follows_again_afterwards():
    lamp, clock, stages = PaperLamp(), HandClock(), Stages()
    keeper = LampKeeper(lamp, clock, stages)
    keeper.say(Glow.LIT)
    for _ in range(3):
        stages.drawing.beat(clock.now_ns())
        keeper.step()
        clock.move(0.2)
        keeper.step()
    clock.move(0.2)
    keeper.step()
    stages.drawing.beat(clock.now_ns())
    keeper.step()
    assert lamp.said == [Glow.LIT] * 6 + [Glow.FLASHING, Glow.LIT]


def test_a_pin_that_hangs_is_known_in_half_a_second_and_keeps_nobody_from_closing():
    leave, clock, stages = threading.Event(), SystemClock(), Stages()
    stuck = SimpleNamespace(say=lambda _glow: leave.wait(30.0), close=lambda: None)
    keeper = LampKeeper(stuck, clock, stages)
    start = time.monotonic()
    keeper.start()
    try:
        while not stages.lamp.is_stalled(clock.now_ns()):
            assert time.monotonic() < start + 5.0
            time.sleep(0.01)
        keeper.close()
        assert not stages.lamp.is_stalled(clock.now_ns())
        assert time.monotonic() < start + 5.0
    finally:
        leave.set()


def test_a_pin_that_fails_stops_the_signs_of_life():
    def refuse(_glow):
        raise OSError(5, "no such pin")

    clock, stages = SystemClock(), Stages()
    lamp = SimpleNamespace(say=refuse, close=lambda: None)
    keeper = LampKeeper(lamp, clock, stages)
    keeper.start()
    keeper._worker.join()
    assert stages.lamp.is_stalled(clock.now_ns() + 500_000_000)
    keeper.close()


class PaperSignal(PaperLamp):
    """Writes down what it is told, and answers."""

    def answer(self):
        self.said.append("answer")


def test_a_lamp_that_is_alone_says_its_own_and_a_fault_where_the_drawing_hangs():
    signal, clock, stages = PaperSignal(), HandClock(), Stages()
    keeper = LampKeeper(None, clock, stages, signal)
    keeper.say(Glow.DARK, (Saying.CLIPPING, Saying.IN))
    keeper.step()
    keeper.answer()
    keeper.step()
    keeper.step()
    stages.drawing.beat(clock.now_ns())
    clock.move(0.6)
    keeper.step()
    assert signal.said == [
        (Saying.CLIPPING, Saying.IN),
        "answer",
        (Saying.CLIPPING, Saying.IN),
        (Saying.CLIPPING, Saying.IN),
        (Saying.FAULT,),
    ]
    keeper.close()
    assert signal.closed == 1


def test_a_warning_goes_before_what_the_moment_says_for_a_while():
    signal, clock = PaperSignal(), HandClock()
    keeper = LampKeeper(None, clock, Stages(), signal)
    keeper.say(Glow.DARK, (Saying.IN,))
    keeper.warn(10.0)
    for _ in range(3):
        keeper.step()
        clock.move(6.0)
    assert signal.said == [(Saying.FAULT,)] * 2 + [(Saying.IN,)]
