import threading
from dataclasses import replace
from pathlib import Path

import pytest

from firmware.clock import HandClock, SystemClock
from firmware.health import watcher
from firmware.health.board import BoardLook
from firmware.health.condition import Condition, Severity, Subject
from firmware.health.judging import Looks
from firmware.health.storage import Keeping, PlaceLook, Space
from firmware.health.watcher import Steady, Watcher

WELL = Looks(
    BoardLook("Raspberry Pi 5", 50.0, is_low_voltage=False),
    (PlaceLook(Path("/x"), Keeping.LASTING, space=Space(10**10)),),
)
SECOND_NS = 10**9


def warm(celsius):
    return replace(WELL, board=replace(WELL.board, temperature_c=celsius))


def low(alarm):
    return replace(WELL, board=replace(WELL.board, is_low_voltage=alarm))


class Machine:
    """What the watcher looks at, and how often it did."""

    def __init__(self):
        self.now, self.looks, self.clock = WELL, 0, HandClock(10**9)
        self.told: list[tuple[int, Looks]] = []
        self.watcher = Watcher(
            self.look,
            self.clock,
            lambda: self.now.board.is_low_voltage,
            lambda now_ns, made: self.told.append((now_ns, made)),
        )

    def look(self, now_ns):
        assert now_ns == self.clock.now_ns()
        self.looks += 1
        return self.now

    def pass_by(self, seconds):
        """Let time pass, with the watcher's turn every second."""
        for _ in range(seconds):
            self.clock.move(1.0)
            self.watcher.step()
        return self.watcher.worst


@pytest.fixture
def machine():
    return Machine()


def test_a_machine_that_is_well_has_nothing_to_say_and_is_looked_at_every_few_seconds(machine):
    assert machine.watcher.worst is None
    machine.watcher.step()
    assert machine.pass_by(20) is None
    assert machine.looks == 5
    assert len(machine.told) == 5
    assert {each.subject for each in machine.told[-1][1]} == set(Subject) - {Subject.BATTERY}


def test_heat_is_said_once_it_matters_and_no_more_when_it_is_over(machine):
    machine.watcher.step()
    machine.now = warm(82.0)
    assert machine.pass_by(5).subject is Subject.TEMPERATURE
    machine.now = warm(77.0)
    assert machine.pass_by(30).subject is Subject.TEMPERATURE, "not yet five degrees cooler"
    machine.now = warm(70.0)
    assert machine.pass_by(9) is not None, "stays a little, so as not to flicker"
    assert machine.pass_by(15) is None


def test_a_dip_of_the_supply_is_seen_within_a_second_and_stays_for_a_minute(machine):
    machine.watcher.step()
    machine.pass_by(1)
    machine.now = low(alarm=True)
    seen = machine.pass_by(1)
    assert (seen.subject, seen.severity) == (Subject.POWER, Severity.ALARM)
    machine.now = low(alarm=False)
    after = machine.pass_by(1)
    assert after.line == "power supply was too weak: use a stronger one, a shorter lead"
    assert after.severity is Severity.WARNING
    assert machine.pass_by(50) is not None
    assert machine.pass_by(15) is None
    power = machine.told[-1][1][0]
    assert (power.severity, "once" in power.words) == (Severity.NOTE, True)


def test_the_supply_is_asked_at_least_twice_while_the_kernel_keeps_a_dip():
    # Linux drivers/hwmon/raspberrypi-hwmon.c asks anew every 2 s and keeps its alarm between (a
    # value from memory).
    assert 2.0 * watcher.TURN_S <= 2.0


def test_what_lasts_goes_before_a_dip_that_is_over(machine):
    machine.now = low(alarm=True)
    machine.watcher.step()
    machine.now = warm(86.0)
    assert machine.pass_by(1).subject is Subject.TEMPERATURE


def test_every_dip_is_counted(machine):
    machine.watcher.step()
    for _ in range(3):
        machine.now = low(alarm=True)
        machine.pass_by(2)
        machine.now = low(alarm=False)
        machine.pass_by(2)
    machine.pass_by(5)
    assert "3 times" in machine.told[-1][1][0].words


def test_what_trembles_around_its_end_keeps_standing():
    steady = Steady()
    hot = Condition(Subject.TEMPERATURE, Severity.WARNING, "hot", "air", "hot: air")
    cool = Condition(Subject.TEMPERATURE, Severity.FINE, "cool")
    for second in range(0, 60, 5):
        now = hot if second % 10 == 0 else cool
        assert [each.line for each in steady.take(second * SECOND_NS, [now])] == ["hot: air"]
    assert steady.take(70 * SECOND_NS, [cool]) == ()


def test_two_places_are_kept_apart():
    steady = Steady()
    here = Condition(Subject.CARD, Severity.ALARM, "full", "delete", "full: delete", where="/a")
    there = replace(here, where="/b")
    assert len(steady.take(0, [here, there])) == 2


def test_the_thread_looks_by_itself_and_stops():
    looked = threading.Event()

    def look(_now_ns):
        looked.set()
        return warm(90.0)

    told = threading.Event()
    watcher = Watcher(look, SystemClock(), told=lambda _now_ns, _made: told.set())
    watcher.start()
    assert looked.wait(20.0)
    assert told.wait(20.0)
    watcher.close()
    watcher._worker.join(20.0)
    assert watcher.worst.subject is Subject.TEMPERATURE
    assert "health" not in {thread.name for thread in threading.enumerate()}


def test_a_look_that_fails_is_said_and_nothing_else_fails():
    def look(_now_ns):
        raise RuntimeError("a bug")

    watcher = Watcher(look, SystemClock())
    watcher.start()
    watcher._worker.join(20.0)
    assert watcher.worst.line == "health is no longer watched (RuntimeError): restart midgrey"
    watcher.close()


def test_a_look_that_hangs_is_left_behind(monkeypatch):
    monkeypatch.setattr("firmware.health.watcher.CLOSE_S", 0.01)
    leave, looking = threading.Event(), threading.Event()

    def look(_now_ns):
        looking.set()
        leave.wait(60.0)
        return WELL

    watcher = Watcher(look, SystemClock())
    watcher.start()
    assert looking.wait(20.0)
    watcher.close()
    assert watcher.worst is None
    leave.set()
    watcher._worker.join(20.0)
