"""Marks for tests: what was in view of a feed, and a journal of a made day."""

import lzma
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from firmware.clock import HandClock
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.heard import Heard, HeardUnit
from firmware.instruments.match.camera_a import MatchMemory
from firmware.instruments.registry import REGISTRY
from firmware.instruments.scene import Frames
from firmware.journal.composing import mark_of
from firmware.journal.in_view import InView
from firmware.journal.profile_texts import profile_text
from firmware.journal.row import ClockTrust, JournalRow, Stamp
from firmware.journal.slate import Slate
from firmware.journal.store_reader import StoreReader
from firmware.kit.reading import PictureCopy, camera_part
from firmware.kit.spots import pin_part, told_pin
from firmware.opening.overrides import Overrides
from overlays.signal.kept_frame import kept

HERE = Path(__file__).parent
DAY_S = 1_795_737_600.0
"""2026-11-27, noon UTC."""
PINS = ("0.5,0.5", "0.35,0.42", "0.61,0.43")
SMALL = "bench:size=640x360"


def stamp(at_s: float = 0.0, trust: ClockTrust = ClockTrust.SYNCHRONISED, boot: str = "a") -> Stamp:
    return Stamp(boot, round(1e9 * (100.0 + at_s)), DAY_S + at_s, trust)


def in_view(
    feed: str,
    view: str = "expose",
    *,
    at: tuple[str, ...] = PINS,
    slate: Slate = Slate(scene="12", shot="A", take="1", camera="A"),  # noqa: B008 - frozen
    when: Stamp | None = None,
    profile: str | None = None,
    frame: int = 0,
    overrides: Overrides | None = None,
    camera_a: tuple[str, str | None] | None = None,
) -> InView:
    """One frame of a feed as it is in a view, with pins; `camera_a`: feed and profile before it."""
    wanted = Wanted(feed, profile, overrides or Overrides(), frame, at)
    shown = REGISTRY.view(view)
    instrument = REGISTRY.in_view(shown)
    memory, taken = instrument.memory(), {}
    if camera_a is not None:
        first, taken = Wanted(*camera_a, Overrides(), 0, at), {"taken": 1}
        with Opener(HandClock(10**9)).scene(first) as scene:
            settings = replace(instrument.settings(scene.profile, 25.0), **taken)
            instrument.measure(scene, settings, memory)
    with Opener(HandClock(10**9)).scene(wanted) as scene:
        settings = instrument.settings(scene.profile, scene.read_with.info.rate)
        settings = replace(settings, **taken) if taken else settings
        answer = instrument.measure(scene, settings, memory)
        return InView(
            kept(scene.frame),
            scene.yard,
            scene.place,
            scene.range,
            shown,
            settings,
            answer,
            scene.desk,
            scene.read_with,
            profile_text(scene.profile),
            slate,
            when or stamp(),
        )


@cache
def mark(feed: str = SMALL, view: str = "expose", **how: object) -> JournalRow:
    """A row, made once for all tests that look at it."""
    return mark_of(in_view(feed, view, **how))


@cache
def rows_of_before(version: str = "0_10") -> tuple[JournalRow, ...]:
    """A journal as 0.10.0 wrote it: target, watch, its events, feed check, evenness.

    Of 0.11.0 (`0_11`): advice, target, pins, matches with a picture and with a unit, watch, events.
    """
    with TemporaryDirectory() as folder:
        path = Path(folder) / "journal.db"
        whole = lzma.decompress((HERE / f"firmware/journal/of_{version}.db.xz").read_bytes())
        path.write_bytes(whole)
        with StoreReader(path) as file:
            return tuple(file.rows())


def unit_of(feed: str, at: tuple[str, ...] = PINS, name: str = "cam-a", **more: Any) -> HeardUnit:
    """A unit of the kit that reads a feed, as its readings are heard."""
    with Opener(HandClock(10**9)).scene(Wanted(feed, None, Overrides(), 0, at)) as scene:
        pins = [told_pin(pin_part(n, "", spot)) for n, spot in scene.pins().items()]
        picture = PictureCopy(
            *(scene.frame, scene.yard, scene.read_with, scene.place, scene.spot, scene.desk.pins)
        )
    camera = camera_part(picture).model_dump()
    return HeardUnit(name, ("0" * 32, 7), camera=camera, read=lambda: pins, **more)


def heard_in_view(feed: str, *units: HeardUnit, source: str = "cam-a", **how: Any) -> InView:
    """What is in view of a match with a unit that is heard."""
    seen, instrument = in_view(feed, "match", **how), REGISTRY.of_name("match").instrument
    wanted = Wanted(feed, how.get("profile"), how.get("overrides") or Overrides(), 0, PINS)
    heard = Heard({each.name: each for each in units}, is_kit=True)
    with Opener(HandClock(10**9)).scene(wanted) as scene:
        scene.is_shown = False  # camera A is chosen already
        memory = MatchMemory(heard=heard, source=source)
        return replace(seen, answer=instrument.measure(scene, seen.settings, memory))


def row_of_before(name: str) -> JournalRow:
    """The first mark of an instrument there."""
    return next(row for row in rows_of_before() if row.head.get("instrument") == name)


def altered(path: Path, statement: str) -> None:
    """Change a journal as somebody could."""
    import sqlite3  # noqa: PLC0415 - by hand, not by the store

    with sqlite3.connect(path) as file:
        assert file.execute(statement).rowcount > 0
    file.close()


def followed(view: str, feeds: tuple[str, ...], *, presses: tuple[int, ...] = ()) -> InView:
    """What is in view of the last of some feeds, after the instrument has followed each of them.

    `presses`: before which of them its setting `cleared` is one more.
    """
    shown = REGISTRY.view(view)
    instrument, cleared = REGISTRY.in_view(shown), 0
    memory, read_with = instrument.memory(), None
    for number, feed in enumerate(feeds):
        wanted = Wanted(feed, None, Overrides(), 0, ())
        with Opener(HandClock(10**9 * (number + 1))).scene(wanted) as opened:
            scene = replace(opened.kept(), frames=Frames.LIVE, now_ns=10**9 * (number + 1))
        read_with = read_with or scene.read_with
        scene.read_with = read_with  # another light in front of the same camera
        cleared += number in presses
        settings = instrument.settings(scene.profile, scene.read_with.info.rate)
        settings = replace(settings, cleared=cleared)
        instrument.follow(scene, settings, memory, in_view=True)
    answer = instrument.measure(scene, settings, memory)
    return InView(
        scene.frame,
        scene.yard,
        scene.place,
        scene.range,
        shown,
        settings,
        answer,
        scene.desk,
        scene.read_with,
        profile_text(scene.profile),
        Slate(),
        stamp(),
    )
