"""Asking whoever is there what they see: a verdict, words and a photograph."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from firmware.selftest.found import RowFound, RowOutcome, Seer
from firmware.selftest.step import CheckRow
from firmware.system.files import read_small, reason_of

MOST_BYTES = 20_000_000
"""Of a photograph: a telephone's are a few megabytes. Our own choice."""
MOST_TYPED = 2000
"""Signs of what is typed."""
_VERDICTS = {"y": RowOutcome.AS_EXPECTED, "n": RowOutcome.OTHERWISE, "": RowOutcome.OPEN}
_STARTS = {b"\xff\xd8\xff": ".jpg", b"\x89PNG\r\n\x1a\n": ".png"}
"""How JPEG (ISO/IEC 10918-1) and PNG (ISO/IEC 15948) files begin."""
_HEIF = b"ftyp"
"""From the fifth byte on: ISO/IEC 14496-12, which HEIF is made of."""


@dataclass(frozen=True, slots=True)
class Photograph:
    """A picture somebody took: its name in the file that is sent, and its bytes."""

    name: str
    content: bytes


def judged(
    step: CheckRow, found: RowFound, ask: Callable[[str], str], say: Callable[[str], None]
) -> tuple[RowFound, Photograph | None]:
    """What came of a step, as somebody who is there says.

    Parameters
    ----------
    step, found:
        The step, and what midgrey found of it.
    ask:
        Prints a question and answers with the line that was typed; raises EOFError at the end.
    say:
        Prints a line.
    """
    answer = "?"
    while answer not in _VERDICTS:
        answer = ask("  As expected? y yes, n no, Enter leaves it open: ").strip().lower()
    outcome = _VERDICTS[answer]
    if outcome is RowOutcome.OPEN:
        return replace(found, outcome=outcome, seen_by=Seer.NOBODY), None
    typed = ask("  What did you see? (Enter for nothing): ").strip()[:MOST_TYPED]
    photograph = None
    while photograph is None:
        path = ask("  A photograph of it: its path (Enter for none): ").strip()
        if not path:
            break
        try:
            photograph = photograph_of(step, Path(path).expanduser())
        except (OSError, ValueError) as fault:
            reason = reason_of(fault) if isinstance(fault, OSError) else str(fault)
            say(f"  {path}: {reason}")
    name = "" if photograph is None else photograph.name
    return (
        replace(found, outcome=outcome, seen_by=Seer.PERSON, typed=typed, photograph=name),
        photograph,
    )


def photograph_of(step: CheckRow, path: Path) -> Photograph:
    """A picture file as it is.

    Raises
    ------
    OSError
        It cannot be read, or is larger than 20 megabytes.
    ValueError
        It is no picture.
    """
    content = read_small(path, MOST_BYTES)
    ending = next((end for start, end in _STARTS.items() if content.startswith(start)), "")
    if not ending and content[4:8] == _HEIF:
        ending = ".heic"
    if not ending:
        raise ValueError("this is no photograph (JPEG, PNG or HEIC)")
    return Photograph(f"step-{step.number:02}{ending}", content)
