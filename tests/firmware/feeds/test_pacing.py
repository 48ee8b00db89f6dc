import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.pacing import Pacer, Playhead


@pytest.fixture
def clock():
    return HandClock(start_ns=1000)


def test_the_first_frame_is_due_at_once(clock):
    assert Pacer(clock, Pace.LIVE, 25.0).due(-1, 0.0) == 0
    assert clock.now_ns() == 1000


def test_live_waits_for_the_next_and_no_longer_than_told(clock):
    pacer = Pacer(clock, Pace.LIVE, 25.0)
    pacer.due(-1, 1.0)
    assert pacer.due(0, 0.01) == 0
    assert clock.now_ns() == 1000 + 10_000_000
    assert pacer.due(0, 1.0) == 1
    assert clock.now_ns() == 1000 + 40_000_000


def test_live_goes_to_the_newest(clock):
    pacer = Pacer(clock, Pace.LIVE, 50.0)
    pacer.due(-1, 1.0)
    clock.move(1.0)
    assert pacer.due(0, 0.0) == 50
    assert pacer.time_ns(50) == 1_000_001_000


def test_an_odd_rate_loses_no_frame_to_rounding(clock):
    pacer = Pacer(clock, Pace.LIVE, 60000 / 1001)
    number, seen = -1, []
    for _ in range(500):
        number = pacer.due(number, 1.0)
        seen.append(number)
    assert seen == list(range(500))


def test_a_frame_that_is_made_is_whole_at_its_moment_and_not_handed_out_before(clock):
    pacer = Pacer(clock, Pace.LIVE, 50.0)
    late_ms, number = [], -1
    for making_s in (0.004, 0.004, 0.006, 0.003):
        number = pacer.due(number, 1.0)
        clock.move(making_s)
        pacer.made(number)
        late_ms.append((clock.now_ns() - pacer.time_ns(number)) / 1e6)
    assert number == 3
    assert late_ms == [4.0, 0.0, 0.0, 0.0]  # only of the first nobody knew how long it takes


def test_frames_that_take_too_long_to_make_are_newer_than_without_being_told_ahead(clock):
    pacer = Pacer(clock, Pace.LIVE, 50.0)
    numbers, ages_ms = [-1], []
    for _ in range(4):
        numbers.append(pacer.due(numbers[-1], 1.0))
        clock.move(0.05)
        pacer.made(numbers[-1])
        ages_ms.append((clock.now_ns() - pacer.time_ns(numbers[-1])) / 1e6)
    assert numbers[1:] == [0, 3, 6, 8]
    assert ages_ms == [50.0, 40.0, 30.0, 40.0]


def test_a_frame_that_is_made_ahead_is_waited_for_no_longer_than_told(clock):
    pacer = Pacer(clock, Pace.LIVE, 50.0)
    pacer.due(-1, 1.0)
    clock.move(0.004)
    pacer.made(0)  # the next is begun 8 ms before it is due, which is in 16
    assert pacer.due(0, 0.0) == 0
    assert pacer.due(0, 0.012) == 0
    assert clock.now_ns() - pacer.time_ns(0) == 16_000_000
    assert pacer.due(0, 0.012) == 1
    pacer.made(1)
    assert clock.now_ns() == pacer.time_ns(1)


def test_what_is_not_told_of_as_made_is_due_at_its_moment(clock):
    pacer = Pacer(clock, Pace.LIVE, 50.0)
    for number in range(3):
        assert pacer.due(number - 1, 1.0) == number
        clock.move(0.004)
    assert clock.now_ns() - pacer.time_ns(2) == 4_000_000


def test_a_made_frame_waits_for_nothing_when_stepping(clock):
    pacer = Pacer(clock, Pace.STEP, 25.0)
    for number in range(3):
        assert pacer.due(number - 1, 1.0) == number
        pacer.made(number)
    assert clock.now_ns() == 1000


def test_stepping_takes_no_time(clock):
    pacer = Pacer(clock, Pace.STEP, 25.0)
    assert [pacer.due(n, 1.0) for n in (-1, 0, 1)] == [0, 1, 2]
    assert pacer.time_ns(2) == 80_001_000
    assert clock.now_ns() == 1000


def test_a_moment_is_waited_for_and_no_longer_than_told(clock):
    playhead = Playhead(clock, Pace.LIVE)
    assert playhead.is_due(0, 0.0)
    assert not playhead.is_due(70_000_000, 0.05)
    assert clock.now_ns() == 1000 + 50_000_000
    assert playhead.is_due(70_000_000, 1.0)
    assert clock.now_ns() == 1000 + 70_000_000
    assert playhead.time_ns(70_000_000) == 70_001_000


def test_a_feed_that_slips_is_due_later(clock):
    playhead = Playhead(clock, Pace.LIVE)
    playhead.is_due(0, 0.0)
    clock.move(0.4)
    playhead.slip_to(40_000_000)
    assert playhead.time_ns(40_000_000) == clock.now_ns()
    assert not playhead.is_due(80_000_000, 0.0)


def test_stepping_from_moment_to_moment_takes_no_time(clock):
    playhead = Playhead(clock, Pace.STEP)
    assert all(playhead.is_due(at_ns, 1.0) for at_ns in (0, 10**9, 10**12))
    assert clock.now_ns() == 1000
