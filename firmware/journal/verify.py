"""Recomputes every number of a mark from the codes that are stored with it; checks the seals."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from firmware.errors import ArgumentError, JournalError
from firmware.instruments.registry import REGISTRY, Registry
from firmware.instruments.scene import Scene
from firmware.journal.evidence import evidence_of
from firmware.journal.inputs import inputs_of, settings_of
from firmware.journal.numbers import numbers_in, of_answer, of_codes, of_line, spots_of
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
        Recomputed from codes and counts, and the same to the last digit.
    sealed:
        Numbers that rest on more than those (frames before; the whole picture, in marks of before
        0.6): held by the seal alone.
    faults:
        One sentence each; none where all is as it was written.
    """

    rows: int
    marks: int
    numbers: int
    sealed: int
    faults: tuple[str, ...]


def verify(file: StoreReader, registry: Registry = REGISTRY) -> Verdict:
    """Look at every row of a journal."""
    faults = [f"the file is damaged: {each}" for each in file.faults()]
    rows = marks = numbers = sealed = 0
    before, expected = FIRST_SEAL, 1
    try:
        for row in file.rows():
            faults += _seal_faults(row, expected, before)
            before, expected, rows = row.seal, row.number + 1, rows + 1
            if row.kind is RowKind.MARK:
                marks += 1
                found = list(wrong_numbers(row, registry))
                faults += [f"mark {row.number}: {each}" for each in found]
                counts = counted(row)
                numbers += 0 if found else counts[0]
                sealed += counts[1]
        number, seal = file.last()
    except JournalError as fault:
        return Verdict(rows, marks, numbers, sealed, (*faults, str(fault)))
    if number != expected - 1 or (rows and seal != before):
        faults.append(f"the journal ended with row {number}, and now ends with {expected - 1}")
    return Verdict(rows, marks, numbers, sealed, tuple(faults))


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
    """Numbers of a mark that can be recomputed, and those that its seal alone holds."""
    body = row.body
    try:
        inputs = inputs_of(body.get("inputs"))
    except JournalError:
        return 0, 0
    again = all_ = 0
    if isinstance(read := body.get("read"), dict):
        again, all_ = numbers_in(of_codes(read, inputs)), numbers_in(of_answer(read))
    if isinstance(answer := body.get("answer"), dict):
        all_ += numbers_in(of_answer(answer))
        again += numbers_in(of_codes(answer, inputs)) if body.get("answer_from_codes") else 0
    return again, all_ - again


def wrong_numbers(row: JournalRow, registry: Registry = REGISTRY) -> Iterator[str]:
    """What of a mark's numbers the stored codes do not give again, in sentences."""
    try:
        body = row.body
        kept, rest = evidence_of(body, row.blobs.get("codes", b""))
        scene = kept.scene()
        read, inputs = spots_of(scene, registry), kept.inputs
        yield from _different(of_codes(body["read"], inputs), of_codes(read, inputs), "")
        if body["answer_from_codes"]:
            line = registry.of_name(row.head["instrument"])
            like = line.instrument.settings(kept.profile, kept.inputs.rate)
            settings, before = settings_of(body["settings"], like), _before(body, rest)
            again = of_line(scene, line, settings, before)
            wanted = of_codes(body["answer"], inputs)
            yield from _different(wanted, of_codes(again or {}, inputs), row.head["instrument"])
        first = body["read"]["spots"][0] if body["read"]["spots"] else {}
        if any(row.head[name] != first.get(name) for name in OF_HEAD):
            yield "its head says another number than its readings"
    except (JournalError, ArgumentError, OverlayError) as fault:
        yield f"cannot be recomputed: {fault}"
    except (KeyError, TypeError, AttributeError, IndexError, ValueError, ArithmeticError) as fault:
        yield f"cannot be recomputed: something is missing in it ({type(fault).__name__})"


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
