"""What takes long is measured at once the first time, and then between the frames."""

from dataclasses import replace
from typing import Any
from unittest.mock import Mock

import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.health.stats import Stats
from firmware.instruments.chart.instrument import EVERY_NS, INSTRUMENT, ChartView
from firmware.instruments.registry import REGISTRY
from firmware.live.meantime import Meantime
from firmware.live.measurer import Measurer
from firmware.live.orders import orders_of
from firmware.live.state import first_state
from firmware.opening.overrides import Overrides
from firmware.opening.read_with import read_with
from firmware.opening.session import open_session
from tests import views
from tests.slow_clock import SlowClock

FRAME_S = 0.04


@pytest.fixture(scope="module")
def seen():
    """The bench's workshop, with its chart, and what is ordered of it in the view of charts."""
    clock, feed = HandClock(10**9), "bench:size=640x360,cloud=0"
    session = open_session(feed, "standard", Overrides(), clock=clock, pace=Pace.STEP)
    frame, info = session.feed.read(1.0), session.feed.info
    state = first_state((session.profile,), info, views.CHART)
    return frame, orders_of(state, read_with(session.profile, info))


@pytest.fixture
def clock():
    return HandClock(10**9)


@pytest.fixture
def meantime(clock):
    return Meantime(SlowClock(clock))


@pytest.fixture
def measurer(clock, meantime):
    made = Measurer(clock, Stats(), REGISTRY)
    made.wait_in(meantime)
    return made


def next_frame(clock, meantime):
    clock.move(FRAME_S)
    meantime.frame()


def until_another(measurer, clock, meantime, seen, first):
    """Frames until there is another answer than the first; the most that waited meanwhile."""
    frames, waited = 0, 0
    while (now := measurer.measure(*seen).answer) is first:
        next_frame(clock, meantime)
        waited = max(waited, meantime.waits)
        meantime.go_on()
        frames += 1
        assert frames < 400
    return now, frames, waited


def test_a_chart_is_found_at_once_and_then_between_frames(clock, meantime, measurer, seen):
    next_frame(clock, meantime)
    first = measurer.measure(*seen).answer
    assert first.reading is not None
    assert meantime.waits == 0
    clock.move(EVERY_NS / 1e9)
    meantime.frame()
    next_frame(clock, meantime)  # frames come as fast as ever
    now, frames, waited = until_another(measurer, clock, meantime, seen, first)
    assert waited >= 1
    assert frames > 5
    assert now.reading.mean_de00 == first.reading.mean_de00
    assert now.corners == first.corners


def test_where_something_else_is_asked_meanwhile_the_search_is_given_up(
    clock, meantime, measurer, seen
):
    frame, orders = seen
    next_frame(clock, meantime)
    first = measurer.measure(frame, orders).answer
    clock.move(EVERY_NS / 1e9)
    measurer.measure(frame, orders)
    assert meantime.waits >= 1
    pins = replace(orders, view=views.PINS)
    assert type(measurer.measure(frame, pins).answer) is not type(first)
    while meantime.waits:
        meantime.go_on()
    assert type(measurer.measure(frame, pins).answer) is not type(first)
    # And back in the view there is an answer at once again.
    assert measurer.measure(frame, orders).answer.corners == first.corners


def test_without_a_place_to_wait_all_is_measured_at_once(clock, seen):
    alone = Measurer(clock, Stats(), REGISTRY)
    first = alone.measure(*seen).answer
    clock.move(EVERY_NS / 1e9)
    now: Any = alone.measure(*seen).answer
    assert now is not first
    assert now.reading is not None


def test_in_steps_it_is_what_it_is_at_once(seen):
    shown = Mock(said=None, answer=None, meantime=None)
    measurer = Measurer(HandClock(10**9), Stats(), REGISTRY)
    measurer._reader.shown = shown
    measurer.measure(*seen)
    scene, settings = shown.look.call_args.args[1], ChartView()
    steps, count = INSTRUMENT.measure_in_steps(scene, settings, INSTRUMENT.memory()), 0
    while True:
        try:
            next(steps)
        except StopIteration as end:
            found = end.value
            break
        count += 1
    at_once = INSTRUMENT.measure(scene, settings, INSTRUMENT.memory())
    assert count > 10
    assert found.reading.mean_de00 == at_once.reading.mean_de00
    assert found.corners == at_once.corners
