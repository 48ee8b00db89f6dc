"""`midgrey selftest`: walk the checklist of a board and write one file to send back."""

import importlib.metadata
import os
import platform
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from firmware.clock import Clock, SystemClock, day_of
from firmware.commands.own import SelftestOptions
from firmware.errors import ArgumentError
from firmware.feeds.address import shown
from firmware.health.board import model
from firmware.selftest.found import MachineObject, RowOutcome, SelftestObject
from firmware.selftest.packing import packed
from firmware.selftest.step import AtHand, CheckRow, Run, run_program
from firmware.selftest.steps import STEPS
from firmware.selftest.walking import walk
from firmware.system.files import save, unsaved
from firmware.written.arguments import output_file
from firmware.written.declared import Command

USUAL = Path("midgrey-selftest.zip")
FOLLOW_S = 30.0
"""How long a feed is followed while somebody pulls a plug and puts it back."""


@dataclass(frozen=True, slots=True)
class Here:
    """Where it is run: all that it touches besides the file it writes."""

    clock: Clock
    environ: Mapping[str, str]
    root: Path = Path("/")
    run: Run = run_program
    steps: Sequence[CheckRow] = STEPS


def main(_command: Command, options: SelftestOptions) -> None:
    """Walk it on this machine."""
    here = Here(SystemClock(), os.environ)
    selftest(options, here, sys.stdout, None if options.alone else input)


def selftest(
    options: SelftestOptions, here: Here, out: TextIO, ask: Callable[[str], str] | None
) -> SelftestObject:
    """Take the steps and write the file.

    Parameters
    ----------
    options:
        What was asked for.
    here:
        The machine.
    out:
        Where it says how it goes.
    ask:
        Asks whoever is there; None asks nobody.

    Raises
    ------
    ArgumentError
        A step is asked for that there is not, or the file cannot be written.
    """
    path, steps = output_file(options.file or USUAL, ".zip"), wanted(here.steps, options.only)

    def say(line: str) -> None:
        print(line, file=out, flush=True)

    feed = options.feed or first_device(here.root)
    follow_s = 0.0 if ask is None else FOLLOW_S
    around = AtHand(feed, here.clock, here.environ, here.root, here.run, follow_s, say)
    bridge = ""
    if ask is not None:
        say(
            "Each step says what it needs and what to do. y, n or Enter answers it; Ctrl-C ends "
            "the walk and keeps what was found. A photograph is kept as it is, with the place it "
            "was taken at if the telephone writes that."
        )
        bridge = _asked_bridge(ask)
    walked = walk(steps, around, say, ask)
    told = None if feed is None else shown(feed)
    found = SelftestObject(_machine(here, bridge), ask is None, told, walked.steps)
    try:
        save(path, packed(found, walked.photographs))
    except OSError as fault:
        raise ArgumentError(unsaved(path, "self-test", fault)) from fault
    counts = ", ".join(f"{found.count(each)} {each.value}" for each in RowOutcome)
    say(f"{len(steps)} steps: {counts}. Please send {path}.")
    return found


def wanted(steps: Sequence[CheckRow], only: str | None) -> Sequence[CheckRow]:
    """The steps of these numbers, or all of them.

    Raises
    ------
    ArgumentError
        It names a step that there is not.
    """
    if only is None:
        return steps
    by_number = {str(each.number): each for each in steps}
    numbers = [word.strip() for word in only.split(",")]
    unknown = next((each for each in numbers if each not in by_number), None)
    if unknown is not None:
        raise ArgumentError(
            f"--only: there is no step {unknown!r}; write numbers from 1 to {len(steps)}, as 3,17"
        )
    return [each for each in steps if str(each.number) in numbers]


def first_device(root: Path) -> str | None:
    """The first capture device there is, as a feed; None where there is none."""
    names = [each.name for each in (root / "dev").glob("video*")]
    first = min(names, key=lambda name: (len(name), name), default=None)
    return None if first is None else f"v4l2:/dev/{first}"


def _asked_bridge(ask: Callable[[str], str]) -> str:
    try:
        return ask("Which bridge or stick is it? (Enter for none): ").strip()[:200]
    except EOFError:
        return ""


def _machine(here: Here, bridge: str) -> MachineObject:
    return MachineObject(
        model=model(here.root) or None,
        system=_system(here.root),
        kernel=platform.release(),
        processor=platform.machine(),
        midgrey=importlib.metadata.version("midgrey"),
        day=day_of(here.clock.wall_s()),
        bridge=bridge,
    )


def _system(root: Path) -> str | None:
    """The system's name for people (os-release(5)); None where it does not say."""
    try:
        lines = (root / "etc/os-release").read_text(errors="replace").splitlines()
    except OSError:
        return None
    given = dict(line.partition("=")[::2] for line in lines)
    return given.get("PRETTY_NAME", "").strip("\"'") or None
