import pytest

from firmware.clock import HandClock
from firmware.system.stages import (
    ENOUGH,
    MOST_PATIENT_NS,
    PATIENCE_KEY,
    QUIET_NS,
    SLOWEST_NS,
    Patience,
    Stage,
    Stages,
    least_patience_ns,
)

S = 1_000_000_000


def test_a_stage_stalls_when_it_has_not_beaten_for_less_than_half_a_second():
    stage = Stage("measuring")
    assert not stage.is_stalled(99 * S)  # not begun
    stage.beat(S)
    assert not stage.is_stalled(S + QUIET_NS)
    assert stage.is_stalled(S + QUIET_NS + 1)
    assert QUIET_NS < S // 2
    stage.beat(9 * S)
    assert not stage.is_stalled(9 * S)
    stage.rest()
    assert not stage.is_stalled(99 * S)


def test_a_machine_on_which_every_turn_is_slow_is_not_stalled_but_one_that_hung_is():
    slow, hung = Patience(), Patience()
    for _ in range(ENOUGH):
        slow.note(S)
        hung.note(S // 25)
    hung.note(20 * S)
    assert slow.limit_ns == 3 * S // 2
    assert hung.limit_ns == QUIET_NS
    for _ in range(20):
        slow.note(60 * S)
    assert slow.limit_ns == MOST_PATIENT_NS


def test_turns_that_are_slow_now_and_then_are_no_stall():
    busy = Patience()
    for took in (1, 10, 2, 1, 8, 1, 1, 2):
        busy.note(took * S // 10)
    assert busy.limit_ns == 12 * S // 10


@pytest.mark.parametrize("name", ["capture", "measuring", "drawing"])
def test_frames_do_not_pass_where_one_stage_is_silent(name):
    stages = Stages()
    for stage in (stages.capture, stages.measuring, stages.drawing, stages.lamp):
        stage.beat(0)
        stage.beat(S if stage.name == name else 2 * S)
    assert stages.is_passing(S)
    assert not stages.is_passing(2 * S)
    before = stages.before_the_screen(2 * S)
    assert (before.name if before else "drawing") == name


def test_frames_that_come_in_must_come_out_whatever_beats():
    stages = Stages()
    stages.arrived_ns, stages.out_ns = 10 * S, 10 * S - S // 10
    assert stages.is_passing(99 * S)  # a feed that brings none is no fault
    stages.arrived_ns = 10 * S + SLOWEST_NS
    assert not stages.is_passing(99 * S)
    stages.rest()
    assert stages.is_passing(99 * S)


def test_a_stage_beats_by_a_clock():
    clock, stage = HandClock(S), Stage("lamp")
    beat = stage.beating(clock)
    beat()
    clock.move(0.3)
    assert stage.silent_ns(clock.now_ns()) == 3 * S // 10


@pytest.mark.parametrize(
    ("asked", "least_ns"),
    [("", QUIET_NS), ("2", 2 * S), ("0.1", QUIET_NS), ("99", MOST_PATIENT_NS), ("nan", QUIET_NS)],
)
def test_a_machine_known_to_be_slow_may_be_given_patience(asked, least_ns, monkeypatch):
    monkeypatch.setenv(PATIENCE_KEY, asked)
    assert least_patience_ns() == Patience().limit_ns == least_ns
