"""A chart is looked for beside the live frames: each is read at its time, whatever that takes."""

import threading
from dataclasses import replace

import pytest

from firmware.actions import Press
from firmware.clock import HandClock
from firmware.health.stats import Stats
from firmware.instruments.chart.instrument import EVERY_NS, INSTRUMENT, ChartView
from firmware.instruments.registry import REGISTRY
from firmware.live.answer_shown import OLD_NS
from firmware.live.measurer import Measurer
from firmware.live.orders import orders_of
from firmware.live.searching import BesideFrames
from firmware.live.state import after, first_state
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile
from overlays.draw.moment.layers import ChartShown
from overlays.wording.numbers import UNKNOWN
from tests import views

FOUND = "no chart was found"
LOOKED_FOR = "a chart is looked for"


class Held:
    """Holds every search for a chart until it is let go."""

    def __init__(self, monkeypatch):
        self.let_go, self.count, self.scene = threading.Event(), 0, None
        real = type(INSTRUMENT).measure

        def measure(instrument, scene, settings, memory):
            self.count, self.scene = self.count + 1, scene
            assert self.let_go.wait(60.0)
            return real(instrument, scene, settings, memory)

        monkeypatch.setattr(type(INSTRUMENT), "measure", measure)


class Rig:
    """A measurer that searches beside, in the chart's view, each frame of one level."""

    def __init__(self, frame, info, held):
        self.held, self.clock = held, HandClock(start_ns=10**9)
        self.beside, self.measurer = (
            BesideFrames(self.clock),
            Measurer(self.clock, Stats(), REGISTRY),
        )
        self.measurer.search_in(self.beside)
        self.state = first_state((load_profile("standard"),), info(), views.CHART)
        self._frame, self._info = frame, info

    def measure(self, level=500, state=None, *, index=False, measurer=None):
        state = state or self.state
        orders = orders_of(state, read_with(state.in_use, self._info()), index=index)
        return (measurer or self.measurer).measure(self._frame(level), orders)

    def in_view(self, view):
        return replace(self.state, view=view)

    def through(self):
        self.held.let_go.set()
        self.beside._search.begun.result(60.0)


@pytest.fixture
def held(monkeypatch):
    return Held(monkeypatch)


@pytest.fixture
def rig(frame, info, held):
    made = Rig(frame, info, held)
    yield made
    held.let_go.set()
    made.beside.close()


def test_while_a_chart_is_looked_for_every_frame_is_read_and_says_so(rig):
    levels = []
    for level in (300, 400, 500):
        made = rig.measure(level)
        levels.append(made.spot.percent)
        assert made.answer is None
        assert (made.said.report.main, made.said.report.words) == (UNKNOWN, LOOKED_FOR)
        rig.clock.move(1.0)
    assert levels == sorted(set(levels))
    assert rig.held.count == 1
    rig.held.let_go.set()
    rig.through()
    made = rig.measure()
    assert made.answer.reading is None
    assert made.said.report.words.startswith(FOUND)
    assert made.said.layer(ChartShown) is not None


def test_what_is_older_than_two_seconds_says_how_old(rig):
    rig.held.let_go.set()
    rig.measure()
    rig.through()
    rig.held.let_go.clear()
    rig.clock.move(OLD_NS / 1e9 - 0.1)
    rows = rig.measure().said.report.rows
    assert "seen" not in [row.label for row in rows]
    assert rig.beside._search is not None  # the next one, held
    rig.clock.move(7.1)
    (row, *_) = rig.measure().said.report.rows
    assert (row.label, row.value) == ("seen", "9 s ago")


def test_an_answer_found_for_another_view_profile_or_time_is_not_shown(rig):
    rig.held.let_go.set()
    rig.measure()
    rig.through()
    rig.clock.move(0.5)
    assert rig.measure().answer is not None
    away = rig.in_view(views.BALANCE)
    rig.clock.move(0.5)
    assert rig.measure(state=away).said.report.words != LOOKED_FOR
    rig.clock.move(0.5)
    back = rig.measure()
    assert (back.answer, back.said.report.words) == (None, LOOKED_FOR)


def test_a_chart_placed_by_hand_is_read_at_once(rig):
    rig.held.let_go.set()
    moved = after(rig.state, Press.SPOT_LEFT)
    assert INSTRUMENT.waiting_words(moved.setting("chart")) == ""
    assert rig.measure(state=moved).answer is not None


def test_a_chart_is_looked_for_where_nobody_says_where_it_is():
    assert INSTRUMENT.waiting_words(ChartView()) == LOOKED_FOR


def test_looking_for_a_chart_reads_no_counts(rig):
    """They are used for the next frame meanwhile."""
    rig.held.let_go.set()
    other = Measurer(rig.clock, Stats(), REGISTRY)
    rig.measure(measurer=other)  # at once
    seen = replace(rig.held.scene, census=None, spot=None, range=None)
    answer = INSTRUMENT.measure(seen, ChartView(), INSTRUMENT.memory())
    assert str(answer.fault).startswith(FOUND)


def test_at_once_it_is_measured_once_a_second(rig):
    rig.held.let_go.set()
    measurer = Measurer(rig.clock, Stats(), REGISTRY)
    for _ in range(3):
        rig.measure(measurer=measurer)
        rig.clock.move(0.3)
    assert rig.held.count == 1
    rig.clock.move((EVERY_NS - 0.8e9) / 1e9)
    rig.measure(measurer=measurer)
    assert rig.held.count == 2


def test_figures_of_the_other_views_go_on_while_that_of_the_chart_is_looked_for(rig):
    away = rig.in_view(views.EXPOSE)
    for _ in range(2 * len(views.VIEWS)):
        made = rig.measure(state=away, index=True)
        rig.clock.move(0.3)
    others = {view.name for view in views.VIEWS} - {"chart"}
    assert set(made.figures) == others
    assert rig.held.count == 1
    rig.held.let_go.set()
    rig.through()
    rig.clock.move(0.3)
    made = rig.measure(state=away, index=True)
    assert made.figures["chart"] == "no chart"
    before = dict(made.figures)
    for _ in range(2 * len(views.VIEWS)):
        rig.clock.move(0.3)
        made = rig.measure(700, away, index=True)
    assert made.figures["expose"] != before["expose"]
