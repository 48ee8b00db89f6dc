"""Reads what every command and every view says of the bench, and looks for what no one would say.

    python -m tests.sentence_sweep [--every N] [--seed S]

Looked for: names of JSON in a sentence for people, a main number without its unit, and a verdict of
fine beside a warning that the very same thing cannot be trusted. Every N-th combination of the
bench's options is read (default all, hours; the tests read a few of them).
"""

import argparse
import itertools
import random
import re
from collections.abc import Iterator

from firmware.actions import PlaceSpot, Press
from firmware.clock import HandClock
from firmware.errors import FirmwareError
from firmware.feeds.base import Pace
from firmware.instruments.registry import REGISTRY
from firmware.live.appliance import starting_state
from firmware.live.loop import Loop
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.draw.layout.views import Readings
from overlays.errors import OverlayError
from tests.asking import printed
from tests.golden.playing import Sheet, Timed, turned_by_hand

CURVES = ("BT.709", "HLG", "S-Log3", "V-Log")
PROFILES = (None, "standard", "hlg", "log-s3")
LIGHTS = ("", "kelvin=3200", "kelvin=9000,dial=3200", "tint=20", "clip=3")
NOISES = ("noise=0", "noise=1", "noise=6")
EXPOSURES = (-9, -4, -1.5, 0, 1, 3, 6)
SIGNALS = ("uyvy", "yuv422-10", "nv12", "rgb-10")
PINS = ("0.5,0.45", "0.6,0.4", "0.6,0.55")
CHIP_PLACES = ((320, 205), (386, 175), (386, 232))

KEY_NAME = re.compile(r"\b[a-z]+(?:_[a-z0-9]+)+\b|\b[A-Z]+(?:_[A-Z]+)+\b")
UNIT = re.compile(r"\bst\b|stops|%|\bK\b|ΔE00|u'v'|:1|mired")
FINE = re.compile(
    r"in tolerance|leave it\b|leave the balance|where they belong|is on target|"
    r"agrees with A in exposure and balance(?! at \d+ of)"
)
WRONG = re.compile(
    r"\b(?:card|spot(?: \d+)?|pin \d+|chip)\b[^.;·]*\b(?:is|may be|are) "
    r"(?:clipped|cut off|too dark|coloured too strongly)|cannot be trusted"
)


def cases() -> Iterator[str]:
    """Text of every combination of the bench's options."""
    for curve, signal, light, noise, exposure in itertools.product(
        CURVES, SIGNALS, LIGHTS, NOISES, EXPOSURES
    ):
        parts = ["size=640x360", "rate=5", f"curve={curve}", f"signal={signal}", noise]
        yield "bench:" + ",".join([*parts, f"exposure={exposure}", *([light] if light else [])])


def said_by_commands(feed: str, profile: str | None) -> Iterator[tuple[str, str]]:
    """(command, what it prints), or the sentence that it refuses with."""
    other = feed.replace("exposure=", "exposure=0.5,seed=7,cloud=0,tint=2,exposure=")
    asked = {
        "read": {"feed": feed},
        "expose": {"feed": feed},
        "balance": {"feed": feed, "at": "0.5,0.45"},
        "chips": {"feed": feed, "at": PINS},
        "pins": {"feed": feed, "at": PINS},
        "match": {"feed_a": feed, "feed_b": other, "at": PINS},
        "watch": {"feed": feed, "at": PINS, "seconds": 3.0},
        "chart": {"feed": feed},
    }
    for command, options in asked.items():
        try:
            yield command, printed(command, profile=profile, **options)
        except (FirmwareError, OverlayError) as refused:
            yield command, str(refused)


def said_by_views(feed: str, profile: str | None) -> Iterator[tuple[str, str, str]]:
    """(view, main number with what stands beside it, all else that it says)."""
    clock = HandClock(start_ns=10**9, wall_start_s=1_700_000_000.0)
    session = open_session(feed, profile, Overrides(), clock=HandClock(10**9), pace=Pace.STEP)
    sheet = Sheet((800, 480))
    state = starting_state(session, REGISTRY.view(None))
    loop = turned_by_hand(Loop(Timed(session.feed, clock), state, sheet, clock))
    for column, row in CHIP_PLACES:
        sheet.presses += [PlaceSpot(column, row), Press.SET_PIN]
    loop.turn()
    for view in REGISTRY.views():
        if view.name in {"match", "watch"}:
            sheet.presses.append(Press.MARK)
        for _ in range(2):
            loop._take_frame()
            loop._measure_frame()
            loop.turn()
        found = loop._current
        report = None if found is None or found.said is None else found.said.report
        if view.readings is Readings.REPORT and report is not None:
            rows = [f"{row.label} {row.value}" for row in report.rows]
            more = [report.words, *report.notes, *report.warnings, *rows]
            yield view.name, f"{report.heading} | {report.main} {report.beside}", "\n".join(more)
        sheet.presses.append(Press.NEXT_VIEW)
        loop.turn()


def faults(feed: str, profile: str | None) -> list[str]:
    """What is wrong with what is said of one feed."""
    out = []
    for command, text in said_by_commands(feed, profile):
        plain = text.replace(feed, "FEED")
        out += [f"{command}: the key name {name}" for name in KEY_NAME.findall(plain)]
        out += _contradictions(command, " ".join(plain.split()))
    for view, main, text in said_by_views(feed, profile):
        out += [f"{view}: the key name {name}" for name in KEY_NAME.findall(f"{main}\n{text}")]
        if re.search(r"\d", main.partition("| ")[2].split(" ")[0]) and not UNIT.search(main):
            out.append(f"{view}: a number without its unit: {main}")
        out += _contradictions(view, text)
    return [f"{feed} as {profile or 'it says'}: {each}" for each in out]


def _contradictions(where: str, text: str) -> list[str]:
    fine, wrong = FINE.search(text), WRONG.search(text)
    if fine is None or wrong is None:
        return []
    return [f"{where}: {fine.group()!r} beside {wrong.group()!r}"]


def main() -> None:
    """Read, and print what was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--seed", type=int, default=0)
    options = parser.parse_args()
    all_cases = list(cases())
    random.Random(options.seed).shuffle(all_cases)
    read = found = 0
    for number, feed in enumerate(all_cases[:: options.every]):
        for fault in faults(feed, PROFILES[number % len(PROFILES)]):
            print(fault, flush=True)
            found += 1
        read += 1
    print(f"{read} of {len(all_cases)} feeds read, {found} faults")


if __name__ == "__main__":
    main()
