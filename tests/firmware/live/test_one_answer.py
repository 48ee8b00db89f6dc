"""One answer of what looks at more than a frame: screen, terminal and object say the same of it."""

import re

import pytest

from firmware.actions import PlaceSpot, Press
from firmware.answers.cleaner import clean
from firmware.answers.terminal_numbers import plain
from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.instruments.asking import Opener
from firmware.instruments.registry import REGISTRY
from firmware.live.terminal import LiveReadings
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.measure.feedcheck.readings import What
from overlays.wording.numbers import pm_text
from tests.firmware.live.test_one_way import CHIPS, SIZE, Visit, object_of
from tests.golden.playing import Timed

BENCH = f"bench:{SIZE},curve=V-Log,signal=yuv422-10"
STARTS_NS = 10**9


class Changed(Timed):
    """Another light in front of the same camera: what is known of the feed does not change."""

    def __init__(self, feed, clock, info):
        super().__init__(feed, clock)
        self._known = info

    @property
    def info(self):
        return self._known


def shine(visit, feed, profile):
    """Another picture comes, of a feed that is read as the one before."""
    of_feed = HandClock(visit.clock.now_ns() + STARTS_NS)
    session = open_session(feed, profile, Overrides(), clock=of_feed, pace=Pace.STEP)
    visit.loop._feed = Changed(session.feed, visit.clock, session.feed.info)


def answered(command, **options):
    """The object of a command and what it prints, of one and the same asking."""
    line = REGISTRY.of_command(command)
    found = line.instrument.ask(line.command.options(**options), Opener(HandClock()))
    said = " ".join(map(str, line.instrument.lines(found)))
    return clean(line.object_of(found)), plain(said).lower()


def half_widths(text):
    return re.findall(r"±\d+(?:\.\d+)?", text)


def object_shown(shown):
    return clean(object_of(shown.view, shown.measured.answer))


def at_pins(shown):
    size = shown.measured.place.size
    return tuple(f"{x},{y},{size}" for x, y in CHIPS)


MATCHED = [
    ("standard", "exposure=-0.7"),
    ("hlg", "kelvin=4500,exposure=0.4"),
    ("log-s3", "seed=3"),
    ("log-v", "kelvin=4500"),
]


@pytest.mark.parametrize(("profile", "b"), MATCHED)
def test_a_match_on_the_screen_is_that_of_the_command(profile, b):
    visit = Visit(BENCH, profile, "match")
    visit.set_pins()
    visit.frames(2)
    visit.press(Press.SET_REFERENCE)
    visit.frames(2)
    shine(visit, f"{BENCH},{b}", profile)
    shown = visit.frames(2)
    report = shown.measured.said.report
    asking = {
        "feed_a": BENCH,
        "feed_b": f"{BENCH},{b}",
        "profile": profile,
        "at": at_pins(shown),
        "frame": shown.measured.answer.origin.number,
    }
    found, said = answered("match", **asking)
    found["a"]["feed"]["frame"] = shown.measured.answer.compared.a.origin.number
    assert object_shown(shown) == found
    assert plain(report.words).lower() in said
    assert half_widths(report.beside)
    for half_width in half_widths(report.beside):
        assert half_width in said


@pytest.mark.parametrize(
    ("profile", "cloud", "frames"), [("standard", 0.0, 40), ("log-v", 1.5, 150)]
)
def test_a_watch_on_the_screen_is_that_of_the_command(profile, cloud, frames):
    feed = f"bench:size=320x180,rate=4,noise=0,cloud={cloud},curve=V-Log,signal=yuv422-10"
    places = ((20, 90), (160, 90))
    visit = Visit(feed, profile, "watch")
    for place in places:
        visit.press(PlaceSpot(*place), Press.SET_PIN)
    shown = visit.frames(frames)
    report, size = shown.measured.said.report, shown.measured.place.size
    asking = {
        "feed": feed,
        "profile": profile,
        "at": tuple(f"{x},{y},{size}" for x, y in places),
        "frames": frames,
    }
    found, said = answered("watch", **asking)
    assert object_shown(shown) == found
    assert bool(found["events"]) is (cloud > 0.0)
    assert f"pin {shown.measured.answer.worst[0]} is {plain(report.main)} st" in said
    assert plain(report.words).lower() in said
    assert found["verdict"] == report.words


TARGETS = [("standard", 1.0), ("hlg", 0.0), ("log-s3", -1.0), ("log-v", 9.0)]


@pytest.mark.parametrize(("profile", "exposure"), TARGETS)
def test_a_target_on_the_screen_is_that_of_the_terminal(profile, exposure):
    feed = f"{BENCH},exposure={exposure}"
    shown = Visit(feed, profile, "target").frames(3)
    report, found = shown.measured.said.report, object_shown(shown)
    seen = []

    class Face:
        period_ns = 0

        def show(self, now):
            seen.append(now)

    clock = HandClock(STARTS_NS)
    session = open_session(feed, profile, Overrides(), clock=clock, pace=Pace.STEP)
    instrument = REGISTRY.in_view(shown.view)
    LiveReadings(session, instrument, clock, Face()).run(frames=2)
    words = seen[-1].seen.words
    assert words == {report.heading: f"{report.main} {report.beside}".strip(), "": report.words}
    assert (found["side"] or "—").upper() == report.main
    assert found["why"] in report.words
    if found["off_pm"] is not None:
        assert pm_text(found["off_pm"], 2) in report.beside
    assert list(report.warnings) == found["warnings"]


CHECKED = [
    ("standard", "curve=BT.709,range=squeezed,says=limited"),
    ("log-v", "curve=V-Log"),
    ("hlg", "curve=LogC4"),
]


@pytest.mark.parametrize(("profile", "bench"), CHECKED)
def test_a_feed_check_on_the_screen_is_that_of_the_command(profile, bench):
    small = f"bench:size=320x180,rate=2,noise=0,cloud=0,signal=yuv422-10,{bench}"
    feeds = {
        what: f"{small},exposure={stops}"
        for what, stops in (("cap", -12), ("card", 0), ("clip", 7), ("dark", -4))
    }
    visit = Visit(feeds["cap"], profile, "feedcheck")
    visit.frames(2)
    taken = {}
    for what, feed in feeds.items():
        shine(visit, feed, profile)
        shown = visit.frames(2)
        if what == "dark" and shown.measured.answer.check.ask is not What.DARK:
            break
        visit.press(Press.HOLD)
        shown = visit.frames(1)
        taken[what] = f"{feed}#{shown.measured.frame.number}"
    shown = visit.frames(1)
    report = shown.measured.said.report
    asking = {"profile": profile, **taken}
    found, said = answered("feedcheck", **asking)
    assert {**object_shown(shown), "feed": found["feed"]} == found
    for row in report.rows:
        assert all(each in said for each in half_widths(row.value))
    assert report.heading.partition(", ")[2] in said
    assert found["verdict"].lower() in said
    assert report.main == "right" or found["verdict"] in plain(
        " ".join((report.words, *report.notes))
    )
