from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.health.flow import FlowMeter
from firmware.health.stats import Stats
from firmware.v4l2.capture_buffers import Counts as InputCounts

SECOND_NS = 10**9


@dataclass
class Counts:
    passed_over: int = 0
    lost: int = 0
    broken: int = 0
    short: int = 0


class Feed:
    def __init__(self):
        self.counts: Counts | InputCounts = Counts()


def counted(stats, came, passed=0, age_ms=None):
    stats.frames_in += came
    stats.dropped_before_measuring += passed
    for _ in range(came - passed if age_ms is not None else 0):
        stats.age.add_ns(round(age_ms * 1e6))


def test_the_flow_is_that_of_the_last_looks_alone():
    stats = Stats()
    meter = FlowMeter(stats, looks=2)
    counted(stats, 100, passed=90, age_ms=900.0)
    assert meter.take(0) is None
    counted(stats, 250, passed=50, age_ms=20.0)
    assert meter.take(5 * SECOND_NS) is None
    counted(stats, 250, passed=50, age_ms=30.0)
    flow = meter.take(10 * SECOND_NS)
    assert flow.rate == pytest.approx(50.0)
    assert flow.passed_share == pytest.approx(0.2)
    assert flow.age_s == pytest.approx(0.025, abs=0.006)
    assert flow.damaged_share == 0.0
    counted(stats, 500, age_ms=30.0)
    assert meter.take(15 * SECOND_NS).passed_share == pytest.approx(50 / 750)


def test_nothing_that_comes_has_no_flow_and_nothing_shown_no_age():
    stats = Stats()
    meter = FlowMeter(stats, looks=1)
    meter.take(0)
    assert meter.take(SECOND_NS) is None
    counted(stats, 25)
    assert meter.take(2 * SECOND_NS).age_s is None
    counted(stats, 25)
    assert meter.take(2 * SECOND_NS) is None, "no time has passed"


def test_what_the_feed_found_damaged_is_told_apart_from_what_nobody_took():
    stats, feed = Stats(), Feed()
    meter = FlowMeter(stats, feed, looks=1)
    meter.take(0)
    counted(stats, 60, passed=10)
    feed.counts.passed_over, feed.counts.lost = 20, 10
    feed.counts.broken, feed.counts.short = 6, 4
    flow = meter.take(2 * SECOND_NS)
    assert flow.rate == pytest.approx(50.0)
    assert flow.passed_share == pytest.approx(0.4)
    assert flow.damaged_share == pytest.approx(0.1)


def test_the_feed_of_an_hdmi_input_counts_what_is_asked_of_it():
    class Input(Feed):
        def __init__(self):
            self.counts = InputCounts(delivered=9, passed_over=1, lost=2, broken=3, short=4)

    stats, feed = Stats(), Input()
    meter = FlowMeter(stats, feed, looks=1)
    meter.take(0)
    counted(stats, 10)
    feed.counts.lost += 10
    assert meter.take(SECOND_NS).passed_share == pytest.approx(0.5)


@given(st.lists(st.tuples(st.integers(0, 300), st.integers(0, 300)), min_size=1, max_size=12))
def test_shares_are_shares_whatever_is_counted(steps):
    stats, feed = Stats(), Feed()
    meter = FlowMeter(stats, feed)
    for turn, (came, damaged) in enumerate(steps):
        counted(stats, came, passed=came // 2)
        feed.counts.broken += damaged
        feed.counts.lost += damaged // 3
        flow = meter.take(turn * 5 * SECOND_NS)
        if flow is not None:
            assert 0.0 <= flow.passed_share <= 1.0
            assert 0.0 <= flow.damaged_share <= 1.0
            assert flow.rate > 0.0


def test_frames_that_kernels_being_compiled_passed_over_are_not_the_rates_fault():
    stats = Stats()
    meter = FlowMeter(stats, looks=1)
    stats.is_settling = True
    for second in range(5):
        counted(stats, 25, passed=24, age_ms=900.0)
        assert meter.take(second * SECOND_NS) is None
    stats.note_warm()
    assert not stats.is_settling
    assert meter.take(5 * SECOND_NS) is None  # the first look that counts
    counted(stats, 25, age_ms=20.0)
    flow = meter.take(6 * SECOND_NS)
    assert (flow.passed_share, flow.rate) == (0.0, 25.0)


def test_a_feed_of_which_every_frame_is_damaged_has_a_flow():
    stats, feed = Stats(), Feed()
    meter = FlowMeter(stats, feed, looks=1)
    meter.take(0)
    feed.counts.broken = 60
    flow = meter.take(2 * SECOND_NS)
    assert (flow.rate, flow.damaged_share) == (pytest.approx(30.0), 1.0)
