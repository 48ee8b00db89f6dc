"""A made shooting day: ``python -m tests.made_day FOLDER`` writes its journal and its report.

The story is invented, the readings are those of the bench and of footage that is made here: a
bookbinder's workshop, two cameras, three setups, a cloud that passes, and a fill that fails.
"""

import sys
from dataclasses import replace
from pathlib import Path

from firmware.clock import HandClock
from firmware.commands.journal import hand_over
from firmware.commands.own import JournalOptions
from firmware.instruments.asking import Opener
from firmware.instruments.desk import Desk
from firmware.instruments.registry import REGISTRY
from firmware.instruments.scene import Scene
from firmware.instruments.watch import WatchOptions
from firmware.journal.composing import mark_of
from firmware.journal.in_view import InView
from firmware.journal.row import ClockTrust, JournalRow, RowKind, Stamp
from firmware.journal.seen_events import SeenEvent, event_of
from firmware.journal.slate import Slate
from firmware.journal.store import Store
from firmware.journal.store_reader import StoreReader
from overlays.measure.counting.census import Wants, take_census
from tests.marked import in_view, stamp

SIZE = "size=960x540"
PINS = ("0.5,0.5", "0.304,0.432", "0.608,0.432", "0.608,0.567")
MORNING_S = 7.5 * 3600
CAMERA_A = f"bench:{SIZE},curve=V-Log"


def write(path: Path, seconds: float = 24.0) -> None:
    """The journal of the day, row by row in the order it happened."""
    store = Store(path)
    for row in [*_first_setup(), *_watched(seconds), *_second_setup(), *_third_setup()]:
        store.append(row)
    store.close()


def _at(minutes: float, trust: ClockTrust = ClockTrust.SYNCHRONISED) -> Stamp:
    return stamp(MORNING_S + 60.0 * minutes, trust)


def _mark(feed: str, view: str, slate: Slate, when: Stamp) -> JournalRow:
    return mark_of(_seen(feed, view, slate, when))


def _seen(feed: str, view: str, slate: Slate, when: Stamp) -> InView:
    """The spot on the grey card, pins on what else matters."""
    found = in_view(feed, view, at=PINS, slate=slate, when=when)
    return replace(found, desk=Desk(found.desk.pins[1:]))


def _first_setup() -> list[JournalRow]:
    """The unit was switched on without a network: its clock came an hour later."""
    early = _at(0.0)
    early = Stamp(early.boot, early.at_ns, 1234.5, ClockTrust.UNSET)
    slate = Slate("12", "A", "1", "A", "first light on the press; haze on")
    return [
        _mark(f"{CAMERA_A},exposure=-0.7", "advice", slate, early),
        _mark(CAMERA_A, "expose", replace(slate, take="2", notes=""), _at(9.0)),
        _mark(CAMERA_A, "pins", replace(slate, take="3", notes="circled"), _at(16.0)),
    ]


def _watched(seconds: float) -> list[JournalRow]:
    """What a watch saw of a passing cloud, by the watch itself."""
    line = REGISTRY.of_command("watch")
    feed = "bench:size=160x90,curve=V-Log,cloud=2"
    options = WatchOptions(feed=feed, at=("0.5,0.5", "0.08,0.5"), seconds=seconds)
    answer = line.instrument.ask(options, Opener(HandClock(10**9)))
    slate = Slate("12", "A", "3", "A")
    return [
        event_of(SeenEvent(each, line, CAMERA_A, _at(16.5 + each.event.start_ns / 60e9)), slate)
        for each in answer.events
    ]


def _second_setup() -> list[JournalRow]:
    """Camera B is brought to camera A."""
    instrument = REGISTRY.of_command("match").instrument
    slate = Slate("12", "B", "1", "B", "same light, second body")
    a, b = (
        _seen(feed, "match", slate, _at(41.0))
        for feed in (CAMERA_A, f"bench:{SIZE},curve=S-Log3,exposure=-0.6,kelvin=5000")
    )
    memory, settings = instrument.memory(), replace(a.settings, taken=1)
    answers = [instrument.measure(_scene(each), settings, memory) for each in (a, b)]
    return [
        mark_of(replace(b, answer=answers[1], settings=settings)),
        _mark(f"bench:{SIZE},curve=S-Log3,exposure=-0.6,kelvin=5000", "balance", slate, _at(44.0)),
    ]


def _scene(seen: InView) -> Scene:
    wants = Wants.LEVELS | Wants.CHROMA | Wants.CLIPPING
    census = take_census(seen.frame, seen.yard, wants)
    return Scene(
        seen.frame, seen.yard, census, seen.read_with, seen.desk, seen.place, None, seen.range
    )


def _third_setup() -> list[JournalRow]:
    """The window blows out; the clock is set by now, and dates the first mark of the morning."""
    slate = Slate("14", "A", "1", "A", "window in shot, no gel left")
    return [
        JournalRow(RowKind.CLOCK, _at(60.0), {"words": "the clock is set"}),
        _mark(f"bench:{SIZE},exposure=1.3", "expose", slate, _at(95.0)),
        _mark(
            f"bench:{SIZE},exposure=0.3", "expose", replace(slate, take="2", notes=""), _at(99.0)
        ),
    ]


def main(words: list[str]) -> None:
    """Write the journal and what is handed to post."""
    folder = Path(words[0])
    path = folder / "made-day.db"
    path.unlink(missing_ok=True)
    write(path)
    with StoreReader(path) as file:
        options = JournalOptions(report=folder / "made-day.html", csv=folder / "made-day.csv")
        hand_over(file, options, sys.stdout)


if __name__ == "__main__":
    main(sys.argv[1:])
