"""The command as a person starts it: words in; status, standard output and standard error out.

`midgrey` runs it within this process, as a person's shell would: 80 columns, no display. A process
of its own costs a second to start and to load; `process` is for what only that can show: starting,
its streams, pipes and signals. What is loaded and called to run the command is named here alone.
"""

import contextlib
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO
from unittest import mock

from firmware.__main__ import main
from firmware.system.compiling import FIRST_START

ROOT = Path(__file__).resolve().parents[1]
START = [sys.executable, "-m", "firmware"]
"""Starts the command in a process of its own; the words of the command follow."""

DISPLAYS = ("DISPLAY", "WAYLAND_DISPLAY", "SDL_VIDEODRIVER")


def environment(**more: str) -> dict[str, str]:
    """What a command finds in its environment: this process's, no display, and this tree's code."""
    kept = {name: value for name, value in os.environ.items() if name not in DISPLAYS}
    return {**kept, "COLUMNS": "80", "PYTHONPATH": str(ROOT), **more}


@dataclass(frozen=True, slots=True)
class Done:
    """How a command ended, and what it wrote."""

    returncode: int
    stdout: str
    stderr: str


def midgrey(*words: object, cwd: Path | None = None) -> Done:
    """Run the command within this process.

    Whether it had to compile anything hangs on what ran before it, in a fresh tree; what it says of
    that on its standard error is left out.

    Parameters
    ----------
    words:
        Of the command line, after the command's own name.
    cwd:
        The folder it runs in; None stays where this process is.
    """
    with contextlib.ExitStack() as around:
        around.enter_context(mock.patch.object(sys, "argv", ["midgrey", *map(str, words)]))
        around.enter_context(mock.patch.dict(os.environ, environment(), clear=True))
        around.enter_context(contextlib.chdir(cwd or Path.cwd()))
        out, err = (around.enter_context(_caught(name)) for name in ("stdout", "stderr"))
        status = _status()
        for stream in (sys.stdout, sys.stderr):
            stream.flush()
        written = [Path(each.name).read_text(encoding="utf-8") for each in (out, err)]
    said = written[1].splitlines(keepends=True)
    return Done(status, written[0], "".join(line for line in said if FIRST_START not in line))


@contextlib.contextmanager
def _caught(name: str) -> Iterator[IO[bytes]]:
    """A file that takes what is written to a stream, by libraries in C past Python's own too."""
    number = {"stdout": 1, "stderr": 2}[name]
    getattr(sys, name).flush()
    kept = os.dup(number)
    try:
        with tempfile.NamedTemporaryFile() as file:
            os.dup2(file.fileno(), number)
            with (
                open(number, "w", encoding="utf-8", closefd=False) as stream,
                mock.patch.object(sys, name, stream),
            ):
                yield file
    finally:
        os.dup2(kept, number)
        os.close(kept)


def _status() -> int:
    try:
        main()
    except SystemExit as end:
        if isinstance(end.code, str):  # what the interpreter would do with it
            sys.stderr.write(f"{end.code}\n")
            return 1
        return end.code or 0
    return 0


def process(
    *words: object,
    cwd: Path | None = None,
    environ: Mapping[str, str] | None = None,
    start: Sequence[str] = START,
) -> Done:
    """The same in a process of its own, for at most 200 seconds; `start` is what is started."""
    done = subprocess.run(
        [*start, *map(str, words)],
        cwd=cwd,
        env=environment(**(environ or {})),
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=200,
        check=False,
    )
    return Done(done.returncode, done.stdout, done.stderr)
