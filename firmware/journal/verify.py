"""Recomputes every number from the codes and means that are stored with it; checks the seals."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from firmware.errors import ArgumentError, JournalError
from firmware.instruments.registry import REGISTRY, Registry
from firmware.instruments.scene import Scene
from firmware.journal.evidence import evidence_of
from firmware.journal.found_again import alike, by_seal, left_out, others_of
from firmware.journal.inputs import decided_of, settings_of
from firmware.journal.mark_numbers import numbers_in, of_answer, of_codes, of_line, spots_of
from firmware.journal.row import FIRST_SEAL, JournalRow, RowKind, seal_of
from firmware.journal.store_reader import StoreReader
from overlays.errors import OverlayError

OF_HEAD = ("stops", "stops_pm", "percent", "percent_pm")
"""What a list shows of the spot."""


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
    """One row: what is wrong with it, how many numbers were found again, and how many were not."""

    faults: tuple[str, ...]
    again: int = 0
    sealed: int = 0


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
                names.update(by_seal(row, registry))
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
    of_kind = _of_mark if row.kind is RowKind.MARK else _of_event
    try:
        pairs = list(of_kind(row, registry))
        faults = [each for one, other, where in pairs for each in _different(one, other, where)]
        faults += list(_missing(row, pairs, registry))
        if row.kind is RowKind.MARK:
            faults += _of_head(row)
        again = sum(numbers_in(each) for _, each, _ in pairs)
        return Examined(tuple(faults), 0 if faults else again, _all_of(row) - again)
    except (JournalError, ArgumentError, OverlayError) as fault:
        return Examined((f"cannot be recomputed: {fault}",))
    except (KeyError, TypeError, AttributeError, IndexError, ValueError, ArithmeticError) as fault:
        words = f"cannot be recomputed: something is missing in it ({type(fault).__name__})"
        return Examined((words,))


Pair = tuple[Any, Any, str]
"""What is stored, what is found again in its place, and what it is called."""


def _of_mark(row: JournalRow, registry: Registry) -> Iterator[Pair]:
    body = row.body
    kept, rest = evidence_of(body, row.blobs.get("codes", b""))
    scene = kept.scene()
    read, inputs = spots_of(scene, registry), kept.inputs
    yield of_codes(body["read"], inputs), of_codes(read, inputs), ""
    name = row.head["instrument"]
    if body["answer_from_codes"]:
        line = registry.of_name(name)
        like = line.instrument.settings(kept.profile, kept.inputs.rate)
        settings, before = settings_of(body["settings"], like), _before(body, rest)
        again = of_line(scene, line, settings, before)
        yield of_codes(body["answer"], inputs), of_codes(again or {}, inputs), name
    elif body["answer"] is not None and body.get("decided") is not None:
        checked = registry.of_name(name).recomputed
        made_of = decided_of(body["decided"], checked.DECIDED)
        again = checked.answer_again(body["answer"], made_of, scene, others_of(body, rest))
        yield alike(body["answer"], again), again, name


def _missing(row: JournalRow, pairs: Sequence[Pair], registry: Registry) -> Iterator[str]:
    """What of an answer or an event was made of something that is no longer there."""
    body = row.body
    if body.get("decided") is None or body.get("answer_from_codes"):
        return
    stored, again = body.get("event"), pairs[0][1]
    if row.kind is RowKind.MARK:
        stored, again = of_answer(body["answer"]), pairs[-1][1]
    yield from left_out(stored, again, by_seal(row, registry))


def _of_event(row: JournalRow, registry: Registry) -> Iterator[Pair]:
    body, name = row.body, row.head.get("view")
    if body.get("decided") is not None:
        checked = registry.of_name(name).recomputed
        again = checked.event_again(body["event"], decided_of(body["decided"], checked.OF_EVENT))
        yield alike(body["event"], again), again, str(name)
    if body.get("seen") is not None:
        kept, _ = evidence_of(body["seen"], row.blobs.get("codes", b""))
        stored, again = body["seen"]["read"], spots_of(kept.scene(), registry)
        # No counts of a whole picture: nothing is said of it.
        yield of_codes(stored, kept.inputs), of_codes(again, kept.inputs), "seen"


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
    return [] if is_same else ["its head says another number than its readings"]


def _before(body: dict[str, Any], packed: bytes) -> Scene | None:
    found = body.get("before")
    return None if found is None else evidence_of(found, packed)[0].scene()


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
