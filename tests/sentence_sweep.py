"""Reads what every command and every view says of the bench, and looks for what no one would say.

    python -m tests.sentence_sweep [--every N] [--seed S] [--slice K/N] [--keep FILE]

Looked for: names of JSON in a sentence for people, a main number without its unit, keys of a
keyboard that may not be there, a verdict of fine beside a warning that the very same thing cannot
be trusted, a ± beside a bound and stops that no camera has (in the object of --json, too). Each
picture is drawn and counted once, and measured once by every instrument; what its command prints
and what its view says are both made from that answer. The whole takes some minutes of one core;
slices of it are for a machine with other work, and --keep writes every sentence once, with the
first picture it was said of, for a person to read.
"""

import argparse
import io
import itertools
import random
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from firmware.actions import Press
from firmware.answers.cleaner import enveloped
from firmware.answers.table import print_lines
from firmware.clock import HandClock
from firmware.errors import FirmwareError
from firmware.feeds.base import Pace
from firmware.feeds.bench import feed as bench
from firmware.feeds.bench.kept_scene import kept_workshop
from firmware.instruments.asking import Unplaced, scene_of
from firmware.instruments.contract import Around
from firmware.instruments.match.camera_a import MatchSettings
from firmware.instruments.registry import REGISTRY
from firmware.instruments.scene import Frames, Scene
from firmware.opening.one_frame import take_frame
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from firmware.written.spot_place import parse_spot
from overlays.draw.moment.report import Report
from overlays.errors import OverlayError
from tests.swept_numbers import faults_of_object, faults_of_words

CURVES = ("BT.709", "HLG", "S-Log3", "V-Log")
PROFILES = (None, "standard", "hlg", "log-s3")
LIGHTS = ("", "kelvin=3200", "kelvin=9000,dial=3200", "tint=20", "clip=3")
NOISES = ("noise=0", "noise=1", "noise=6")
EXPOSURES = (-9, -4, -1.5, 0, 1, 3, 6)
SIGNALS = ("uyvy", "yuv422-10", "nv12", "rgb-10")
CHIPS = ("0.608,0.431", "0.5,0.5", "0.608,0.567")
"""White, grey and glossy black, as chips wants them."""
WATCHED_FRAMES, WATCHED_EVERY = 6, 4
"""A watch is of so many frames, of every fourth picture: it takes longest. At one frame a second it
has learnt its reference after two of them and says numbers."""
LONG = ("chart", "match")
"""Take two thirds of the time of all: one of them is asked of a picture, in turns. As there are
seven exposures, each is asked at every second one of a set-up, and at the others of the next."""
DIALS = (None, 3200.0, 5600.0)

KEY_NAME = re.compile(r"\b[a-z]+(?:_[a-z0-9]+)+\b|\b[A-Z]+(?:_[A-Z]+)+\b")
UNIT = re.compile(r"\bst\b|stops|%|\bK\b|ΔE00|u'v'|:1|mired")
NUMBER = re.compile(r"\d")
KEYBOARD = re.compile(
    r"\b(?:press(?:es)? [A-Z]|[A-Z] (?:sets|marks|looks|holds|takes)|tab (?:asks|chooses)|arrows)\b"
)
FINE = re.compile(
    r"in tolerance|leave it\b|leave the balance|where they belong|is on target|"
    r"agrees with A in exposure and balance(?! at \d+ of)",
    re.IGNORECASE,
)
WRONG = re.compile(
    r"\b(?:card|spot(?: \d+)?|pin \d+|chip)\b[^.;·]*\b(?:is|may be|are) "
    r"(?:clipped|cut off|too dark|coloured too strongly)|cannot be trusted|"
    r"± of the card's colour is wider than the tolerance"
)


@dataclass(frozen=True)
class Said:
    """What was said by a command or in a view: its main number, and all that stands around it."""

    where: str
    main: str
    text: str
    object: Any = None
    """As --json prints it, where it has one."""


def cases() -> Iterator[str]:
    """Text of every combination of the bench's options; exposures of one set-up in a row."""
    for curve, signal, light, noise, exposure in itertools.product(
        CURVES, SIGNALS, LIGHTS, NOISES, EXPOSURES
    ):
        parts = ["size=640x360", "rate=1", f"curve={curve}", f"signal={signal}", noise]
        yield "bench:" + ",".join([*parts, f"exposure={exposure}", *([light] if light else [])])


def scenes(feed: str, profile: str | None, count: int, dial: float | None) -> Iterator[Scene]:
    """So many measured frames of a feed, with a pin on each chip and the spot on the grey one."""
    session = open_session(feed, profile, Overrides(), clock=HandClock(10**9), pace=Pace.STEP)
    read_with, written = session.read_with(), [parse_spot(text) for text in CHIPS]
    try:
        for _ in range(count):
            frame = take_frame(session.feed, 0, HandClock())
            scene = scene_of(frame, read_with, written, Unplaced.PINS)
            scene.desk = replace(scene.desk, dial_kelvin=dial)
            scene.place = scene.desk.pins[1].place
            scene.spot = scene.read(scene.place)
            scene.now_ns, scene.frames = frame.time_ns, Frames.LIVE
            scene.wall_s = 1_700_000_000.0
            yield scene
            session.feed.release(frame)
    finally:
        session.feed.close()


def said_of(scene: Scene, before: Scene | None, left_out: str = "") -> Iterator[Said]:
    """What every instrument says of a scene; the match is against the picture `before`."""
    rate = scene.read_with.info.rate
    for instrument in REGISTRY:
        if instrument.name in {"watch", left_out}:
            continue
        settings, memory = instrument.settings(scene.profile, rate), instrument.memory()
        if instrument.name == "match":
            if before is None:
                continue
            settings = MatchSettings(taken=1)
            instrument.measure(before, settings, memory)
        yield from _said(instrument, scene, settings, memory)
        around = Around(scene.desk, scene.profile, scene.frame.columns)
        pressed = instrument.pressed(settings, Press.NEXT_STRIPE, around)
        if instrument.name == "pins" and pressed is not None:  # how even the light is
            yield from _said(instrument, scene, pressed[0], memory)


def said_of_watch(frames: Sequence[Scene]) -> Iterator[Said]:
    """What a watch says before it is begun, and at its end."""
    (watch,) = [each for each in REGISTRY if each.name == "watch"]
    settings, memory = watch.settings(frames[0].profile, 1.0), watch.memory()
    yield from (each for each in _said(watch, frames[0], settings, memory) if each.main)
    around = Around(frames[0].desk, frames[0].profile, frames[0].frame.columns)
    pressed = watch.pressed(settings, Press.SET_REFERENCE, around)
    assert pressed is not None
    for scene in frames:
        watch.follow(scene, pressed[0], memory, in_view=True)
    yield from _said(watch, frames[-1], pressed[0], memory)


def _said(instrument: Any, scene: Scene, settings: Any, memory: Any) -> Iterator[Said]:
    name = instrument.name
    try:
        answer = instrument.measure(scene, settings, memory)
    except (FirmwareError, OverlayError) as refused:
        yield Said(name, "", str(refused))
        return
    report = instrument.report(answer)
    if report is not None:
        yield Said(f"view {name}", _main(report), _around(report, scene))
    try:
        out = io.StringIO()
        print_lines(instrument.lines(answer), out)
    except (AssertionError, AttributeError):
        return  # a command refuses what a view can show, and says why before it prints
    made = REGISTRY.line_of(instrument).object_of(answer)
    yield Said(f"command {name}", "", " ".join(out.getvalue().split()), enveloped(made))


def _main(report: Report) -> str:
    return f"{report.heading} | {report.main} {report.beside}"


def _around(report: Report, scene: Scene) -> str:
    rows = [f"{row.label} {row.value}" for row in report.rows]
    warned = dict.fromkeys([*report.warnings, *scene.read_with.warnings])
    return "\n".join([report.words, *report.notes, *warned, *rows])


def faults(said: Said) -> list[str]:
    """What is wrong with what was said."""
    whole = f"{said.main}\n{said.text}"
    out = [f"the key name {name}" for name in KEY_NAME.findall(whole)]
    out += [f"a key of a keyboard: {key}" for key in KEYBOARD.findall(whole)]
    number = said.main.partition("| ")[2].split(" ")[0]
    if NUMBER.search(number) and not UNIT.search(said.main):
        out.append(f"a number without its unit: {said.main}")
    fine, wrong = FINE.search(said.text), WRONG.search(said.text)
    if fine is not None and wrong is not None:
        out.append(f"{fine.group()!r} beside {wrong.group()!r}")
    out += [*faults_of_words(whole), *faults_of_object(said.object)]
    return [f"{said.where}: {each}" for each in out]


def read_through(feeds: Sequence[str], numbers: Sequence[int]) -> Iterator[tuple[str, Said]]:
    """(picture, what is said of it), feed by feed."""
    before: Scene | None = None
    for feed, number in zip(feeds, numbers, strict=True):
        profile = PROFILES[number // len(EXPOSURES) % len(PROFILES)]
        dial, watched = DIALS[number % len(DIALS)], number % WATCHED_EVERY == 0
        count = WATCHED_FRAMES if watched else 1
        about = f"{feed} as {profile or 'it says'}"
        try:
            made: list[Scene] = []
            for scene in scenes(feed, profile, count, dial):
                if not made:
                    for said in said_of(scene, before, LONG[number % len(LONG)]):
                        yield about, said
                    before = scene
                made.append(scene)
            if watched:
                for said in said_of_watch(made):
                    yield about, said
        except (FirmwareError, OverlayError) as refused:
            yield about, Said("opening", "", str(refused))


def drawn_once() -> None:
    """Draw the bench's workshop once: it takes longest, and is the same in all its options."""
    drawn = cache(kept_workshop)
    bench.__dict__["kept_workshop"] = lambda *asked: drawn(*asked).copy()


def main() -> None:
    """Read, and print what was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--seed", type=int, default=None, help="shuffles; default is their order")
    parser.add_argument("--slice", default="1/1", help="the K-th of N parts")
    parser.add_argument("--keep", type=Path, default=None)
    options = parser.parse_args()
    numbered = list(enumerate(cases()))
    if options.seed is not None:
        random.Random(options.seed).shuffle(numbered)
    part, of = (int(each) for each in options.slice.split("/"))
    picked = numbered[:: options.every]
    picked = picked[(part - 1) * len(picked) // of : part * len(picked) // of]
    drawn_once()
    kept: dict[str, str] = {}
    found, feeds = 0, [feed for _, feed in picked]
    for about, said in read_through(feeds, [number for number, _ in picked]):
        for fault in faults(said):
            print(f"{about}: {fault}", flush=True)
            found += 1
        for line in (said.main, *said.text.split("\n")):
            kept.setdefault(f"{said.where}: {re.sub(r'[-+−]?[0-9][0-9.]*', '#', line)}", line)
    if options.keep is not None:
        options.keep.write_text("\n".join(f"{k}\t{v}" for k, v in sorted(kept.items())) + "\n")
    print(f"{len(picked)} of {len(numbered)} pictures read, {found} faults")


if __name__ == "__main__":
    main()
