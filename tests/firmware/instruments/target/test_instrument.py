"""The giant reading: on the bench, over changes of its light, and what it says where it cannot."""

from dataclasses import replace

import pytest

from firmware.actions import Press
from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.instruments.contract import Around
from firmware.instruments.desk import Desk
from firmware.instruments.registry import REGISTRY
from firmware.instruments.target.instrument import INSTRUMENT
from firmware.instruments.target.object import object_of
from firmware.instruments.target.report import CLEARS_IT
from firmware.live.loop import Loop
from firmware.live.starting import starting_state
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Face
from overlays.wording.numbers import UNKNOWN
from tests import views
from tests.golden.playing import Timed, turned_by_hand
from tests.moments import Reader

BENCH = "bench:size=320x180,curve=V-Log,cloud=0"


class SameFeed(Timed):
    """Another light in front of the same camera: what is known of the feed does not change."""

    def __init__(self, feed, clock, info):
        super().__init__(feed, clock)
        self._known = info

    @property
    def info(self):
        return self._known


class Stand:
    """One loop by hand, whose feed may be changed for that of another light."""

    def __init__(self, feed=BENCH, view="target"):
        self.clock = HandClock(start_ns=10**9)
        self.reader = Reader(lambda _shown: None)
        self.loop = None
        self.opened = []
        self.light(feed, view)

    def light(self, feed, view="target"):
        of_feed = HandClock(self.clock.now_ns() + 10**9)
        session = open_session(feed, None, Overrides(), clock=of_feed, pace=Pace.STEP)
        self.opened.append(session.feed)
        if self.loop is None:
            state = starting_state(session, REGISTRY.view(view))
            self.loop = Loop(Timed(session.feed, self.clock), state, self.reader, self.clock)
            turned_by_hand(self.loop)
        else:
            self.loop._feed = SameFeed(session.feed, self.clock, self.loop._feed.info)
        self.turns()
        return self.report() if self.reader.last.view.name == "target" else None

    def look(self, *presses):
        self.turns(*presses)
        return self.report()

    def turns(self, *presses):
        for _ in range(3):
            self.loop._take_frame()
            self.loop._measure_frame()
            self.reader.presses += presses
            presses = ()
            self.loop.turn()

    def report(self):
        return self.reader.last.measured.said.report

    def answer(self):
        return self.reader.last.measured.answer


@pytest.fixture
def stand():
    made = Stand()
    yield made
    for feed in made.opened:
        feed.close()


def test_the_bench_is_in_over_and_under_as_its_lens_is(stand):
    seen = [stand.light(f"{BENCH},exposure={stops}").main for stops in (0, 1, -1, 0.2)]
    assert seen == ["IN", "OVER", "UNDER", "IN"]


def test_what_has_happened_is_latched_counted_and_cleared_by_one_press(stand):
    assert (stand.report().words, stand.report().tone) == ("has not been out", Tone.PLAIN)
    for stops in (1, 0, -2, 0):
        stand.light(f"{BENCH},exposure={stops}")
    report = stand.report()
    assert report.main == "IN"
    assert report.tone is Tone.ALARM
    assert report.words.startswith("was out 2 times, last under, −2.0")
    assert report.notes == ("“clear” forgets it",)
    found = object_of(stand.answer())
    assert (found.side, found.times_out, found.latched) == ("in", 2, "under")
    cleared = stand.look(Press.STRIPES)
    assert (cleared.words, cleared.tone, cleared.notes) == ("has not been out", Tone.PLAIN, ())
    assert stand.loop.state.painted  # stripes of other views are as they were


def test_it_goes_on_in_every_view(stand):
    stand.turns(Press.NEXT_VIEW)
    assert stand.reader.last.view.name != "target"
    for stops in (2, 0):
        stand.light(f"{BENCH},exposure={stops}")
    while stand.loop.state.view.name != "target":
        stand.reader.presses.append(Press.NEXT_VIEW)
        stand.loop.turn()
    assert stand.look().words.startswith("was out once, last over")


def test_a_spot_that_is_moved_has_not_been_out(stand):
    stand.look(*[Press.SPOT_UP] * 30, *[Press.SPOT_LEFT] * 40)
    assert "was out" not in stand.report().words


def test_what_cannot_be_had_is_never_in_over_or_under(stand):
    report = stand.light(f"{BENCH},exposure=-12")
    assert report.main in {UNKNOWN, "UNDER"}
    past = stand.answer()
    lost = replace(
        past, judged=replace(past.judged, side=None, off_stops=None, why="not to be read")
    )
    said = INSTRUMENT.report(lost)
    assert said.main == UNKNOWN
    assert said.words.startswith("cannot be said: not to be read")
    assert said.beside == ""
    assert object_of(lost).why == "not to be read"


def test_presses_that_clear_are_those_that_a_lock_may_allow(stand):
    around = Around(Desk(), stand.loop.state.in_use, 320)
    settings = INSTRUMENT.settings(stand.loop.state.in_use, 25.0)
    for press in Press:
        assert (INSTRUMENT.pressed(settings, press, around) is not None) == (
            press in INSTRUMENT.clears
        )
    assert INSTRUMENT.clears == {Press.STRIPES, Press.DISMISS}
    assert INSTRUMENT.lines(stand.answer()) == ()
    assert views.TARGET in INSTRUMENT.views
    assert stand.reader.last.face is Face.LIVE


def test_the_index_says_the_side_and_the_rail_clears():
    found = []
    for exposure, side in ((-1.0, "under"), (0.0, "in"), (1.0, "over")):
        made = Stand(f"{BENCH},exposure={exposure}")
        made.light(f"{BENCH},exposure={exposure}")
        found.append((INSTRUMENT.figure(made.answer()), side))
    assert [said for said, _ in found] == [side for _, side in found]
    lost = replace(made.answer().judged, side=None, off_stops=None)
    assert INSTRUMENT.figure(replace(made.answer(), judged=lost)) == ""
    (own,) = INSTRUMENT.offers(INSTRUMENT.settings(made.loop.state.in_use, 25.0)).own
    assert own.press in INSTRUMENT.clears
    assert f"“{own.label}”" in CLEARS_IT


def test_what_the_spot_reads_is_said_and_what_is_wrong_with_it_in_place_of_its_channels(stand):
    (row,) = stand.report().rows
    assert row.tone is Tone.PLAIN
    assert all(f"{name} " in row.value for name in "RGB")
    (clipped,) = stand.light(f"{BENCH},exposure=8").rows
    assert clipped.tone is Tone.ALARM
    assert "clipped 100 %" in clipped.value
    assert "R " not in clipped.value
    assert any("clipped" in each for each in stand.report().warnings)
