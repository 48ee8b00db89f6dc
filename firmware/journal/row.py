"""One row of the journal: a mark, or something that happened, and the seal that holds it."""

import hashlib
import json
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Any

FIRST_SEAL = bytes(32)
"""What the first row is sealed upon."""
SCHEMA = 6
"""Of a row of which every number that was measured is made of codes that it keeps; of a match with
another unit of the kit, of those and of what that unit told, which is kept as it came.

What is no such number, and is held by the seal: times and time codes; what was set (profile, pins,
limits); what an instrument decided in words (a mood, a side, which frames a mean is taken of); what
the bench says of its own scene (`truth`); what the machine said of itself (`health`)."""
WITHOUT_TOLD = 2
"""Of a row of 0.11, which is the same but for a match with another unit: what was told was not kept
in it, and the seal alone holds its answer; objects of answers have got keys since. Rows of before
have no schema: some of their numbers are held by their seals alone."""
WITH_SURER = 3
"""Of a row of 0.12 to 0.14: it may hold a ± of what was only a bound (of a chip), or of what may be
clipped, where there is none any more, or one by older rules behind a codec. That ±, and words that
hold it, are left to the seal."""
ONE_WAY = 4
"""Of a row of 0.15: off neutral and chroma of a balance may have the ± of one direction, by which
processor it was, where they are less than it. That ± is left to the seal."""
OTHER_RULES = 5
"""Of a row of 0.16 to 0.24, in which some was decided by other rules (`later_rules`): what is said
otherwise by those of today is left to the seal.

Whoever gives an object of an answer another key raises `SCHEMA`: a row of before lacks it."""


class RowKind(Enum):
    """What a row is of."""

    MARK = "mark"
    """Saved by a press, or by a command."""
    EVENT = "event"
    """Something that a watch saw by itself."""
    CLOCK = "clock"
    """The time of day became known: rows of the same boot before it can be dated by it."""


class ClockTrust(Enum):
    """How far the time of day could be believed when a row was made."""

    SYNCHRONISED = "synchronised"
    """The kernel or systemd says that it was set by another clock."""
    OWN = "by its own clock"
    """A clock of the machine that goes on without power set it; nobody compared it since."""
    UNSET = "clock unset"


@dataclass(frozen=True, slots=True)
class Stamp:
    """When something was.

    Attributes
    ----------
    boot:
        The kernel's name of the run of the machine.
    at_ns:
        Monotonic time in that run, in nanoseconds.
    wall_s:
        Time of day as the machine had it, seconds since 1970-01-01 UTC.
    trust:
        How far that may be believed.
    """

    boot: str
    at_ns: int
    wall_s: float
    trust: ClockTrust


@dataclass(frozen=True, slots=True)
class JournalRow:
    """One row.

    Attributes
    ----------
    kind, stamp:
        What it is of, and when.
    head:
        What a list shows of it: an object of JSON, small.
    body:
        All else in words and numbers: an object of JSON.
    blobs:
        By name: `codes` (of the spots, compressed), `still` (JPEG), `trace` and `chroma` (counts).
    number, seal:
        Its place in the journal, from 1, and its seal; 0 and empty until it is kept.
    """

    kind: RowKind
    stamp: Stamp
    head: dict[str, Any]
    body: dict[str, Any] = field(default_factory=dict)
    blobs: dict[str, bytes] = field(default_factory=dict)
    number: int = 0
    seal: bytes = b""

    def kept(self, number: int, before: bytes) -> "JournalRow":
        """The same in its place, of text that can be written, sealed upon the row before."""
        whole = replace(self, head=_as_text(self.head), body=_as_text(self.body))
        return replace(whole, number=number, seal=seal_of(whole, number, before))


def _as_text(value: Any) -> Any:  # noqa: ANN401 - whatever JSON may hold
    """The same without what is no text: the name of a file may be of any bytes."""
    if isinstance(value, str):
        return value.encode("utf-8", "replace").decode()
    if isinstance(value, dict):
        return {_as_text(key): _as_text(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_as_text(each) for each in value]
    return value


def is_made_of_codes(row: JournalRow) -> bool:
    """Whether every number of a row that was measured is made of what it keeps."""
    schema = row.body.get("schema")
    return schema in {WITH_SURER, ONE_WAY, OTHER_RULES, SCHEMA} or (
        schema == WITHOUT_TOLD and not row.body.get("heard")
    )


def canonical(value: object) -> str:
    """An object of JSON as the one text that stands for it.

    Raises
    ------
    ValueError
        There is a number in it that is none.
    """
    return json.dumps(
        value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )


def seal_of(row: JournalRow, number: int, before: bytes) -> bytes:
    """SHA-256 (FIPS 180-4) over all of a row and the seal of the row before it.

    A row that is changed, taken out or put in breaks the seals from there on. It is no signature:
    somebody who makes all seals anew is not found by it.
    """
    stamp = row.stamp
    parts = [
        before,
        f"{number} {row.kind.value} {stamp.boot} {stamp.at_ns} {stamp.wall_s!r} "
        f"{stamp.trust.value}".encode(),
        canonical(row.head).encode(),
        canonical(row.body).encode(),
    ]
    for name, blob in sorted(row.blobs.items()):
        parts += [name.encode(), blob]
    made = hashlib.sha256()
    for part in parts:
        made.update(len(part).to_bytes(8, "big"))
        made.update(part)
    return made.digest()
