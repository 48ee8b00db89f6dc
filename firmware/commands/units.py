"""`midgrey units`: the units of a kit as they stand, or every mark of all of them into one file."""

import json
import os
import secrets
import sys
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from rich import box
from rich.console import Console
from rich.table import Table

from firmware.answers.cleaner import enveloped, said
from firmware.clock import Clock, SystemClock
from firmware.commands.own import UnitsOptions
from firmware.commands.presets import USUAL
from firmware.errors import ArgumentError, KitError
from firmware.kit.settings import RESERVED, KitSettings, unit_name
from firmware.kit.unit_object import UnitObject, mark_words, object_of
from firmware.presets.from_kit import read_keys
from firmware.presets.reader import read_preset
from firmware.presets.shelf import chosen_file, folders_of, look_in
from firmware.system.files import reason_of
from firmware.written.declared import Command

if TYPE_CHECKING:
    from firmware.kit.listener import Listener

LISTENS_S = 1.5
"""How long is listened: readings come five times a second, of what stands still once."""
ANSWERS_S = 8.0
"""How long a broker may take to answer."""
TURN_S = 0.1
NO_KIT = "belongs to no kit; write a table [kit] into a preset, or name one with --preset"
LACKING = "a kit needs what the extra kit brings: .venv/bin/pip install '.[kit]'"


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
    if options.set is not None:
        set_all(settings, options.set, named(options.only), clock, sys.stdout)
        return
    if options.only is not None:
        raise ArgumentError("--only says whom --set FILE.toml is for, and there is none")
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
    try:
        reach(listener, settings, clock)
        hear(listener, settings, clock)
        return tuple(object_of(each) for each in listener.ear.units())
    finally:
        listener.close()


def reach(listener: "Listener", settings: KitSettings, clock: Clock) -> None:
    """Wait until the broker has answered; raises `KitError` where it does not, or refuses."""
    start_ns = clock.now_ns()
    while not listener.is_up:
        clock.sleep(listener.turn(TURN_S))
        late = clock.now_ns() - start_ns > ANSWERS_S * 1e9
        if not listener.is_up and (late or listener.trouble):
            raise KitError(listener.trouble or f"the broker {settings.broker} does not answer")


def hear(listener: "Listener", settings: KitSettings, clock: Clock) -> None:
    """Listen for a moment; raises `KitError` where the connection breaks meanwhile."""
    start_ns = clock.now_ns()
    while clock.now_ns() - start_ns < LISTENS_S * 1e9:
        clock.sleep(listener.turn(TURN_S))
        if not listener.is_up:
            raise KitError(listener.trouble or f"the broker {settings.broker} does not answer")


def named(only: str | None) -> tuple[str, ...]:
    """The units that are written, with commas between them; raises `ArgumentError`."""
    return () if only is None else tuple(unit_name(each.strip()) for each in only.split(","))


def set_all(
    settings: KitSettings, path: Path, units: tuple[str, ...], clock: Clock, out: TextIO
) -> None:
    """Leave a preset at the broker for every unit, or for some, and say what became of it.

    Raises
    ------
    KitError, PresetError
        The broker does not take it, or it has mistakes: then nothing was sent.
    """
    keys = read_keys(path)
    try:
        # Only where there is a kit.
        from firmware.kit.listener import Listener  # noqa: PLC0415
        from firmware.kit.payloads import KitPreset  # noqa: PLC0415
        from firmware.kit.topics import Topic  # noqa: PLC0415
    except ImportError as fault:
        raise KitError(f"{LACKING} ({fault.name} is missing)") from fault
    preset = KitPreset(schema=1, id=secrets.token_hex(16), units=units, preset=dict(keys))
    listener = Listener(settings, clock)
    try:
        reach(listener, settings, clock)
        number = listener.say(RESERVED, Topic.PRESET, preset)
        hear(listener, settings, clock)
        if number is None or listener.took(number) is not True:
            raise KitError(
                f"the broker {settings.broker} does not take a preset from {settings.unit}: look "
                "at its list of who may"
            )
        found = listener.ear.units()
    finally:
        listener.close()
    print("The broker has it: units that come later take it then.", file=out)
    answers = {each.name: each.preset for each in found if each.preset is not None}
    for name in [each.name for each in found if not units or each.name in units]:
        answer = answers.get(name)
        is_new = answer is not None and answer.id == preset.id
        print(f"{name}: {answer.words if is_new and answer else 'has not answered yet'}", file=out)


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
        if each.battery:
            health = f"{health}; battery {each.battery}"
        table.add_row(name, each.reading, each.verdict, each.watch, health, age)
    Console(file=out, highlight=False).print(table)
