"""Figures of the index: of every view, only while it is shown, and none older than that."""

from types import SimpleNamespace

import pytest

from firmware.actions import RailPress
from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.instruments.registry import REGISTRY
from firmware.live.figures import AGAIN_NS, Figures, wants_of
from firmware.live.loop import Loop
from firmware.live.starting import starting_state
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.draw.layout.views import TraceKind
from overlays.measure.counting.census import Wants
from tests.golden.playing import Timed, turned_by_hand
from tests.moments import Reader

INSTRUMENTS = [each for each in REGISTRY if each.views]


def asked(*, index=True, trace=TraceKind.LUMA):
    settings = tuple((each.name, None) for each in REGISTRY)
    return SimpleNamespace(index=index, settings=settings, trace=trace)


class Counting:
    """An instrument that says how often it was asked."""

    def __init__(self, name, every_ns=0):
        self.name, self.count, self.pace_ns = name, 0, every_ns
        self.views = (SimpleNamespace(name=f"{name}-a"), SimpleNamespace(name=f"{name}-b"))
        self.counts = self.counts_when_due = Wants.LEVELS

    def every_ns(self, _settings):
        return self.pace_ns

    def measure(self, _scene, _settings, _memory):
        self.count += 1
        return self.count

    def figure(self, answer):
        return f"{self.name} {answer}"


@pytest.fixture
def pair():
    return [Counting("one"), Counting("other", 3 * AGAIN_NS)]


def orders_for(pair, *, index=True):
    return SimpleNamespace(index=index, settings=tuple((each.name, None) for each in pair))


def test_one_is_measured_at_a_look_the_oldest_first(pair):
    figures = Figures(pair, {"one": None, "other": None})
    orders = orders_for(pair)
    assert figures.look(None, orders, 0) == {"one-a": "one 1", "one-b": "one 1"}
    assert figures.look(None, orders, 1)["other-a"] == "other 1"
    figures.look(None, orders, 2)  # none is due again
    assert [each.count for each in pair] == [1, 1]
    figures.look(None, orders, AGAIN_NS)
    figures.look(None, orders, 2 * AGAIN_NS)
    assert [each.count for each in pair] == [3, 1]  # the other is dear, and rests longer
    figures.look(None, orders, 1 + 3 * AGAIN_NS)
    assert [each.count for each in pair] == [3, 2]


def test_a_figure_of_the_index_is_measured_anew_each_second(pair):
    figures = Figures(pair[:1], {"one": None})
    orders = orders_for(pair[:1])
    for at_s, figure in ((0.0, "one 1"), (0.9, "one 1"), (1.0, "one 2"), (2.0, "one 3")):
        assert figures.look(None, orders, round(at_s * 1e9))["one-a"] == figure


def test_nothing_is_measured_where_no_index_is_shown_and_nothing_old_comes_back(pair):
    figures = Figures(pair, {"one": None, "other": None})
    figures.look(None, orders_for(pair), 0)
    assert figures.look(None, orders_for(pair, index=False), 1) == {}
    assert [each.count for each in pair] == [1, 0]
    assert set(figures.look(None, orders_for(pair), 2)) == {"one-a", "one-b"}
    assert pair[0].count == 2


def test_what_is_counted_is_that_of_the_view_or_while_the_index_is_shown_of_all():
    of_spot = REGISTRY.in_view(REGISTRY.view("picture"))
    alone = wants_of(of_spot, REGISTRY, asked(index=False), due=True)
    every = wants_of(of_spot, REGISTRY, asked(), due=True)
    assert alone == Wants.LEVELS | Wants.CLIPPING
    assert every & Wants.CHROMA
    assert every & Wants.RGB
    coloured = asked(index=False, trace=TraceKind.RGB)
    assert wants_of(of_spot, REGISTRY, coloured, due=False) == Wants.LEVELS | Wants.RGB


def test_every_view_has_its_figure_a_few_seconds_after_the_index_is_opened():
    clock = HandClock(10**9, wall_start_s=1_700_000_000.0)
    session = open_session(
        "bench:size=640x360,rate=4", None, Overrides(), clock=HandClock(10**9), pace=Pace.STEP
    )
    reader = Reader(lambda _shown: None)
    state = starting_state(session, REGISTRY.view(None))
    loop = turned_by_hand(Loop(Timed(session.feed, clock), state, reader, clock))

    def look(frames):
        for _ in range(frames):
            loop._take_frame()
            loop._measure_frame()
            loop.turn()

    look(2)
    reader.presses.append(RailPress(0))
    look(len(INSTRUMENTS) + 3)
    shown = reader.last
    names = tuple(view.name for view in REGISTRY.views())
    assert shown.index == names
    found = shown.measured.figures
    assert set(found) == set(names)
    assert found["picture"].endswith(" st")
    assert found["expose"].endswith(" st off")
    assert (found["match"], found["watch"]) == ("no camera A", "no reference")
    assert found["chart"].endswith(" ΔE00")
    reader.presses.append(RailPress(2))
    look(3)
    assert reader.last.index == ()
    assert reader.last.measured.figures == {}
    session.feed.close()
