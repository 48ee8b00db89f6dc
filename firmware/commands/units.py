"""`midgrey units`: the units of a kit as they stand, or every mark of all of them into one file."""

import json
import os
import sys
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from rich import box
from rich.console import Console
from rich.table import Table

from firmware.answers.cleaner import enveloped, said
from firmware.clock import Clock, SystemClock
from firmware.commands.own import UnitsOptions
from firmware.commands.presets import USUAL
from firmware.errors import ArgumentError, KitError
from firmware.kit.settings import KitSettings
from firmware.kit.unit_object import UnitObject, mark_words, object_of
from firmware.presets.reader import read_preset
from firmware.presets.shelf import chosen_file, folders_of, look_in
from firmware.system.files import reason_of
from firmware.written.declared import Command

LISTENS_S = 1.5
"""How long is listened: readings come five times a second, of what stands still once."""
ANSWERS_S = 8.0
"""How long a broker may take to answer."""
TURN_S = 0.1
NO_KIT = "belongs to no kit; write a table [kit] into a preset, or name one with --preset"
LACKING = "a kit needs what the extra kit brings: pip install 'midgrey[kit]'"


@dataclass(frozen=True, slots=True)
class UnitsObject:
    """The answer of `units --json`."""

    units: tuple[UnitObject, ...] = said("by name")


def main(_command: Command, options: UnitsOptions) -> None:
    """List them on standard output, or keep their marks until Ctrl-C."""
    settings = settings_for(options.preset, os.environ)
    clock = SystemClock()
    if options.record is not None:
        with suppress(KeyboardInterrupt):
            record(settings, options.record, clock, sys.stdout)
        return
    found = listen(settings, clock)
    if options.json:
        sys.stdout.write(json.dumps(enveloped(UnitsObject(found)), indent=2) + "\n")
    else:
        list_units(found, sys.stdout)


def settings_for(preset: Path | None, environ: Mapping[str, str]) -> KitSettings:
    """The kit of a preset, or of the one that this unit starts with.

    Raises
    ------
    KitError
        There is none.
    """
    path = preset
    for folder in folders_of(environ) or USUAL if preset is None else ():
        shelf = look_in(folder)
        if shelf.files or shelf.choice is not None:
            path = chosen_file(shelf, folder)
            break
    found = None if path is None else read_preset(path).kit
    if found is None:
        raise KitError(f"{path or 'this unit'}: {NO_KIT}")
    return found


def listen(settings: KitSettings, clock: Clock) -> tuple[UnitObject, ...]:
    """Hear for a moment who is there.

    Raises
    ------
    KitError
        The broker does not answer, or refuses.
    """
    try:
        # Only where there is a kit.
        from firmware.kit.listener import Listener  # noqa: PLC0415
    except ImportError as fault:
        raise KitError(f"{LACKING} ({fault.name} is missing)") from fault
    listener = Listener(settings, clock)
    start_ns, up_ns = clock.now_ns(), None
    try:
        while up_ns is None or clock.now_ns() - up_ns < LISTENS_S * 1e9:
            clock.sleep(listener.turn(TURN_S))
            if up_ns is None and listener.is_up:
                up_ns = clock.now_ns()
            late = clock.now_ns() - start_ns > ANSWERS_S * 1e9
            if not listener.is_up and (late or listener.trouble):
                raise KitError(listener.trouble or f"the broker {settings.broker} does not answer")
        return tuple(object_of(each) for each in listener.ear.units())
    finally:
        listener.close()


def record(settings: KitSettings, path: Path, clock: Clock, out: TextIO) -> None:
    """Write every mark of every unit into a file, a line of JSON each, until it is interrupted.

    The broker keeps for a day what comes while nobody listens; what stands in the file already is
    known by its id and written once.

    Raises
    ------
    ArgumentError
        The file cannot be read or written.
    """
    try:
        # Only where there is a kit.
        from firmware.kit.listener import Listener  # noqa: PLC0415
    except ImportError as fault:
        raise KitError(f"{LACKING} ({fault.name} is missing)") from fault
    known = _ids(path)
    listener = Listener(settings, clock, f"midgrey-{settings.unit}-record")
    troubled = ""
    try:
        with path.open("a", encoding="utf-8") as file:
            while True:
                clock.sleep(listener.turn(TURN_S))
                for mark in listener.ear.take_marks():
                    if mark.id in known:
                        continue
                    known.add(mark.id)
                    file.write(mark.model_dump_json(by_alias=True) + "\n")
                    file.flush()
                    os.fsync(file.fileno())
                    print(f"{mark.unit}: {mark.kind} {mark.number}, {mark_words(mark)}", file=out)
                if listener.trouble != troubled:
                    troubled = listener.trouble
                    print(troubled or f"the broker {settings.broker} answers", file=out, flush=True)
    except OSError as fault:
        raise ArgumentError(f"{path}: cannot be written ({reason_of(fault)})") from fault
    finally:
        listener.close()


def _ids(path: Path) -> set[str]:
    """Ids of the marks that stand in a file; a line that a power cut left half is passed over."""
    found: set[str] = set()
    try:
        text = path.read_text("utf-8", "replace") if path.exists() else ""
    except OSError as fault:
        raise ArgumentError(f"{path}: cannot be read ({reason_of(fault)})") from fault
    for line in text.splitlines():
        with suppress(ValueError, TypeError, KeyError, RecursionError):
            found.add(str(json.loads(line)["id"]))
    if text and not text.endswith("\n"):
        with path.open("a", encoding="utf-8") as file:
            file.write("\n")
    return found


def list_units(units: tuple[UnitObject, ...], out: TextIO) -> None:
    """Print a line a unit."""
    if not units:
        print("No unit is heard.", file=out)
        return
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for heading in ("unit", "reading", "verdict", "watch", "health", "age"):
        table.add_column(heading, no_wrap=heading != "health")
    for each in units:
        age = "" if each.age_s is None else f"{each.age_s:.1f} s"
        name = f"{each.unit} (simulated)" if each.simulated else each.unit
        health = each.health or ("fine" if each.here else "")
        table.add_row(name, each.reading, each.verdict, each.watch, health, age)
    Console(file=out, highlight=False).print(table)
