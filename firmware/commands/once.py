"""Runs the command of any instrument: its answer as lines for a person, or as one object."""

import json
import sys
from typing import Any, TextIO

from firmware.answers.cleaner import enveloped
from firmware.answers.table import print_lines
from firmware.clock import Clock, SystemClock
from firmware.commands.guard import ending_when_told
from firmware.instruments.asking import Opener
from firmware.instruments.registry import REGISTRY, Registry
from firmware.system.compiling import said_on
from firmware.written.declared import Command


def main(command: Command, options: Any) -> None:  # noqa: ANN401 - each command has its own
    """Answer a command on standard output."""
    # Who reads the output of a command by machine is not told, and waits all the same.
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

    opener = Opener(clock) if options.json else Opener(clock, say)
    found = instrument.ask(options, opener)
    if options.json:
        made = enveloped(line.object_of(found))
        print(json.dumps(made, indent=2, allow_nan=False), file=out)
    else:
        print_lines(instrument.lines(found), out)
    # Last, so that a full card costs nobody the reading.
    instrument.keep(found, options)
