"""Runs the command of any instrument: its answer as lines for a person, or as one object."""

import json
import os
import sys
from typing import Any, TextIO

from firmware.answers.cleaner import enveloped
from firmware.answers.table import print_lines
from firmware.clock import Clock, SystemClock
from firmware.commands.outermost import ending_when_told
from firmware.instruments.asking import Opener
from firmware.instruments.registry import REGISTRY, Line, Registry
from firmware.instruments.scene import Scene
from firmware.system.compiling import said_on
from firmware.written.declared import Command


def main(command: Command, options: Any) -> None:  # noqa: ANN401 - each command has its own
    """Answer a command on standard output."""
    with said_on(sys.stderr, in_logs=False), ending_when_told():
        answer(command, options, SystemClock(), sys.stdout)


def answer(
    command: Command,
    options: Any,  # noqa: ANN401 - each command has its own
    clock: Clock,
    out: TextIO,
    registry: Registry = REGISTRY,
) -> None:
    """Ask an instrument and print its answer to `out`.

    Raises
    ------
    FirmwareError, OverlayError, OSError
        It cannot be had; one sentence says why.
    """
    line = registry.of_command(command.name)
    instrument = line.instrument

    def say(words: str) -> None:
        print(words, file=out, flush=True)

    scenes: list[Scene] = []
    is_marked = bool(getattr(options, "mark", False))

    def keep(scene: Scene) -> None:
        if is_marked:
            scenes.append(copied_scene(scene))

    opener = Opener(clock, keep=keep) if options.json else Opener(clock, say, keep)
    found = instrument.ask(options, opener)
    if options.json:
        made = enveloped(line.object_of(found))
        print(json.dumps(made, indent=2, allow_nan=False), file=out)
    else:
        print_lines(instrument.lines(found), out)
    # Last, so that a full card costs nobody the reading.
    instrument.keep(found, options)
    for scene in scenes:
        _mark(scene, found, line, clock)


def copied_scene(scene: Scene) -> Scene:
    """The scene with a frame that outlives its feed; what saves it is loaded only now."""
    from firmware.journal.mark_once import copied  # noqa: PLC0415 - most commands mark nothing

    return copied(scene)


def _mark(scene: Scene, found: object, line: Line, clock: Clock) -> None:
    from firmware.journal.journal_folder import journal_file  # noqa: PLC0415 - the same
    from firmware.journal.mark_once import mark_scene  # noqa: PLC0415 - most commands mark nothing

    path = journal_file(os.environ)
    row, told = mark_scene(path, scene, found, line, clock)
    sys.stderr.write(f"midgrey: mark {row.number} saved in {path}{told and f', {told}'}\n")
