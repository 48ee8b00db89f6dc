"""What one fuzzed case is: command lines that are run within this process, and how they may end."""

import io
import json
import random
import traceback
import warnings
from collections.abc import Sequence
from contextlib import redirect_stderr, redirect_stdout
from functools import cache
from pathlib import Path
from typing import Any

from typer.main import get_command

from firmware.commands.build import application

ALLOWED = frozenset({0, 2})
"""An answer, or one sentence why there is none."""
EXTREMES = (0, 1, 2, 0x7F, 0x80, 0xFF, 0x7FFF, 0x8000, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF)


class Fault(Exception):  # noqa: N818 - it is what is looked for
    """What must not be: a traceback, another status, words that are no sentence, a NaN in JSON."""


@cache
def command() -> Any:
    """The command line, made once: that takes longer than most cases."""
    return get_command(application())


def run(words: Sequence[str]) -> int:
    """Run a command line; its status.

    Raises
    ------
    Fault
        It ended otherwise than it may.
    """
    out, err = io.StringIO(), io.StringIO()
    status: object = 0
    with redirect_stdout(out), redirect_stderr(err), warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            command()(args=list(words), prog_name="midgrey")
        except SystemExit as end:
            status = end.code or 0
        except BaseException as fault:
            text = "".join(traceback.format_exception(fault))
            raise Fault(f"{' '.join(words)!r}\n{text}") from fault
    said = err.getvalue()
    if status not in ALLOWED:
        raise Fault(f"{' '.join(words)!r}: status {status}: {said[-300:]}")
    if "Traceback" in said or "Warning" in said:
        raise Fault(f"{' '.join(words)!r}: said {said[-400:]}")
    if status == 2 and not said.strip():
        raise Fault(f"{' '.join(words)!r}: status 2 without a sentence")
    if status == 0 and "--json" in words and "journal" not in words:  # that one writes a file
        _strict(out.getvalue(), words)
    return int(str(status))


def _strict(text: str, words: Sequence[str]) -> None:
    def refuse(word: str) -> None:
        raise Fault(f"{' '.join(words)!r}: {word} in JSON")

    found = json.loads(text, parse_constant=refuse)
    gains = found.get("gains") if isinstance(found, dict) else None
    if gains is not None and None in gains:
        raise Fault(f"{' '.join(words)!r}: gains {gains} with status 0")


def kept(folder: Path, name: str, content: bytes) -> str:
    """A file of the case, which stands until the next one takes its name."""
    path = folder / name
    path.write_bytes(content)
    return str(path)


def of_seed(kind: str, seed: int, number: int) -> random.Random:
    """The dice of one case: the same for ever."""
    return random.Random(f"{kind} {seed} {number}")
