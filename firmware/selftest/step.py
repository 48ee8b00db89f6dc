"""A step of the checklist, and what looking at it has at hand."""

import subprocess
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from firmware.clock import Clock
from firmware.selftest.found import RowFound


@dataclass(frozen=True, slots=True)
class Ran:
    """How a program ended, and what it printed; status None where it could not be run."""

    status: int | None
    said: str


Run = Callable[[Sequence[str], float], Ran]


def run_program(words: Sequence[str], most_s: float) -> Ran:
    """Run a program that asks nothing, for so many seconds at the most."""
    try:
        done = subprocess.run(
            list(words),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            timeout=most_s,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return Ran(None, f"it did not end within {most_s:g} s")
    except OSError as fault:
        return Ran(None, (fault.strerror or str(fault)).lower())
    return Ran(done.returncode, done.stdout.decode(errors="replace"))


@dataclass(frozen=True, slots=True)
class AtHand:
    """What a look has at hand.

    Attributes
    ----------
    feed:
        The capture device, as a feed is spelt; None where there is none.
    clock, environ, root:
        Time, the environment, and the file system to look in.
    run:
        Runs a program.
    follow_s:
        How long a feed is followed while somebody does something to it; 0.0 where nobody is there.
    say:
        Prints a line for whoever is there.
    """

    feed: str | None
    clock: Clock
    environ: Mapping[str, str] = field(default_factory=dict)
    root: Path = Path("/")
    run: Run = run_program
    follow_s: float = 0.0
    say: Callable[[str], None] = lambda _line: None


Look = Callable[[AtHand], RowFound]


@dataclass(frozen=True, slots=True)
class CheckRow:
    """A row of hardware/checklist.md.

    Attributes
    ----------
    number, question, run, expect, needs:
        Its columns.
    look:
        What midgrey can find out by itself; None where only a person can.
    is_judged:
        Whether a person has to say what came of it, also where midgrey has looked.
    """

    number: int
    question: str
    run: str
    expect: str
    needs: str
    look: Look | None = None
    is_judged: bool = True
