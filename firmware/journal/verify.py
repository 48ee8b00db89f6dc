"""Recomputes every number from the codes and counts that are stored with it; checks the seals.

Of rows of before 0.11 some numbers rest on means and readings that were stored as numbers, and
some on nothing that is kept: those are held by their seals alone, and named.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from firmware.errors import ArgumentError, JournalError
from firmware.instruments.registry import REGISTRY, Registry
from firmware.journal import pairs as pairs_of_codes
from firmware.journal import pairs_before
from firmware.journal.found_again import Since, by_seal, said_then, withdrawn, without
from firmware.journal.later_rules import as_said_then
from firmware.journal.mark_numbers import numbers_in, of_answer
from firmware.journal.pairs_before import Pair
from firmware.journal.row import (
    FIRST_SEAL,
    ONE_WAY,
    OTHER_RULES,
    SCHEMA,
    WITH_SURER,
    WITHOUT_TOLD,
    JournalRow,
    RowKind,
    seal_of,
)
from firmware.journal.store_reader import StoreReader
from overlays.errors import OverlayError

OF_HEAD = ("stops", "stops_pm", "percent", "percent_pm")
"""What a list shows of the spot."""
BOUNDS = ("at_least", "at_most")
OF_ONE_WAY = frozenset({"off_neutral_pm", "chroma_percent_pm"})
"""Which had the ± of one direction where nobody knew the direction."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What was found.

    Attributes
    ----------
    rows, marks:
        How many were looked at.
    numbers:
        Recomputed from codes, counts and means that are kept, and the same to the last digit.
    sealed:
        Numbers that rest on more than those: held by the seal alone.
    faults:
        One sentence each; none where all is as it was written.
    names:
        What those that the seal alone holds are called, the most frequent first, in how many rows.
    """

    rows: int
    marks: int
    numbers: int
    sealed: int
    faults: tuple[str, ...]
    names: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Examined:
    """One row: what is wrong with it, how many numbers were found again, and how many were not.

    `withdrawn` are names of half widths that were told then, and are told otherwise now.
    """

    faults: tuple[str, ...]
    again: int = 0
    sealed: int = 0
    withdrawn: tuple[str, ...] = ()


def verify(file: StoreReader, registry: Registry = REGISTRY) -> Verdict:
    """Look at every row of a journal."""
    faults = [f"the file is damaged: {each}" for each in file.faults()]
    rows = marks = numbers = sealed = 0
    names: Counter[str] = Counter()
    before, expected = FIRST_SEAL, 1
    try:
        for row in file.rows():
            faults += _seal_faults(row, expected, before)
            before, expected, rows = row.seal, row.number + 1, rows + 1
            if row.kind is RowKind.CLOCK:
                continue
            marks += row.kind is RowKind.MARK
            found = examined(row, registry)
            faults += [f"{row.kind.value} {row.number}: {each}" for each in found.faults]
            numbers, sealed = numbers + found.again, sealed + found.sealed
            if not found.faults:
                names.update(tuple(dict.fromkeys((*by_seal(row, registry), *found.withdrawn))))
        number, seal = file.last()
    except JournalError as fault:
        return Verdict(rows, marks, numbers, sealed, (*faults, str(fault)))
    if number != expected - 1 or (rows and seal != before):
        faults.append(f"the journal ended with row {number}, and now ends with {expected - 1}")
    return Verdict(rows, marks, numbers, sealed, tuple(faults), tuple(names.most_common()))


def _seal_faults(row: JournalRow, expected: int, before: bytes) -> list[str]:
    if row.number != expected:
        missing = f"row {expected}" if row.number == expected + 1 else f"rows from {expected}"
        return [f"{missing} up to row {row.number} were taken out"]
    try:
        is_whole = seal_of(row, row.number, before) == row.seal
    except ValueError:
        is_whole = False
    return [] if is_whole else [f"row {row.number} was changed, or the one before it"]


def counted(row: JournalRow) -> tuple[int, int]:
    """Numbers of a row that can be recomputed, and those that its seal alone holds."""
    found = examined(row)
    return found.again, found.sealed


def wrong_numbers(row: JournalRow, registry: Registry = REGISTRY) -> Iterator[str]:
    """What of a row's numbers is not found again, in sentences."""
    yield from examined(row, registry).faults


def examined(row: JournalRow, registry: Registry = REGISTRY) -> Examined:
    """Find the numbers of a mark or an event again."""
    try:
        pairs = list(_pairs(row, registry))
        gone, whole = tuple[str, ...](), pairs
        if row.body.get("schema") != SCHEMA:
            if row.body.get("schema") != OTHER_RULES:
                whole = [(stored, said_then(stored, each), where) for stored, each, where in pairs]
                whole, gone = _as_told_then(whole, _since(row))
            pairs, others = as_said_then(whole, row.head.get("instrument"))
            gone = (*gone, *others)
        faults = [each for one, other, where in pairs for each in _different(one, other, where)]
        if row.body.get("schema") is None:
            faults += list(pairs_before.missing(row, whole, registry))
        if row.kind is RowKind.MARK:
            faults += _of_head(row)
        again = sum(numbers_in(each) for _, each, _ in pairs)
        return Examined(tuple(faults), 0 if faults else again, _all_of(row) - again, gone)
    except (JournalError, ArgumentError, OverlayError) as fault:
        return Examined((f"cannot be recomputed: {fault}",))
    except (KeyError, TypeError, AttributeError, IndexError, ValueError, ArithmeticError) as fault:
        words = f"cannot be recomputed: something is missing in it ({type(fault).__name__})"
        return Examined((words,))


def _is_lossy(row: JournalRow) -> bool:
    """Whether its codes came through a codec, whose ± has had other rules since."""
    made_of = (row.body, row.body.get("seen") or {})
    return any(bool(each["inputs"]["signal"]["lossy"]) for each in made_of if each.get("inputs"))


def _since(row: JournalRow) -> Since:
    """What a ± of a row of an earlier version may be by the rules of this one."""
    if row.body.get("schema") == ONE_WAY:
        return Since(may_be_none=False, may_differ=OF_ONE_WAY.__contains__)
    is_lossy = _is_lossy(row)
    return Since(may_be_none=True, may_differ=lambda key: is_lossy or key in OF_ONE_WAY)


def _as_told_then(pairs: list[Pair], since: Since) -> tuple[list[Pair], tuple[str, ...]]:
    """Pairs of a row of an earlier version without a ± that is none any more or another; its names.

    What an instrument said with that ± is left out too: words, and what was decided by it.
    """
    gone = tuple(
        name for one, other, where in pairs for name in withdrawn(one, other, since, where)
    )
    if not gone:
        return pairs, ()
    (read, *others) = [
        (without(one, other, since), without(other, one, since), where)
        for one, other, where in pairs
    ]
    return [read, *(each for each in others if not list(_different(*each)))], gone


def _pairs(row: JournalRow, registry: Registry) -> Iterator[Pair]:
    schema = row.body.get("schema")
    if schema not in (None, WITHOUT_TOLD, WITH_SURER, ONE_WAY, OTHER_RULES, SCHEMA):
        raise JournalError("it was made by a later version; verify it with that one")
    of: Any = pairs_before if schema is None else pairs_of_codes
    found: Iterator[Pair] = (of.of_mark if row.kind is RowKind.MARK else of.of_event)(row, registry)
    return found


def _all_of(row: JournalRow) -> int:
    """All numbers of a row that somebody measured; what it was read with is none."""
    body = row.body
    measured = [body.get("read"), body.get("answer"), (body.get("seen") or {}).get("read")]
    found = sum(numbers_in(of_answer(each)) for each in measured if isinstance(each, dict))
    return found + numbers_in(body.get("event")) + numbers_in(body.get("health"))


def _of_head(row: JournalRow) -> list[str]:
    spots = row.body["read"]["spots"]
    first = spots[0] if spots else {}
    is_same = all(row.head[name] == first.get(name) for name in OF_HEAD)
    if row.body.get("schema") is not None:
        is_same &= all(row.head[name] is first.get(name, False) for name in BOUNDS)
        is_same &= row.head["pins"] == len(row.body["inputs"]["desk"]["pins"])
    return [] if is_same else ["its head says another number than its readings"]


def _different(stored: Any, again: Any, where: str) -> Iterator[str]:  # noqa: ANN401 - JSON
    """Where two objects of JSON differ, number by number."""
    if isinstance(stored, dict) and isinstance(again, dict):
        for key in stored.keys() | again.keys():
            yield from _different(stored.get(key), again.get(key), f"{where}.{key}".lstrip("."))
    elif isinstance(stored, list) and isinstance(again, list) and len(stored) == len(again):
        for place, (one, other) in enumerate(zip(stored, again, strict=True), start=1):
            yield from _different(one, other, f"{where} {place}")
    elif type(stored) is not type(again) or stored != again:
        yield f"{where} is {_shown(stored)} in the journal, and {_shown(again)} by its codes"


def _shown(value: Any) -> str:  # noqa: ANN401 - JSON
    return "nothing" if value is None else str(value)[:60]
