"""Numbers of marks and events of before 0.11 found again, as far as their codes give them."""

from collections.abc import Iterator, Sequence
from typing import Any

from firmware.instruments.registry import Registry
from firmware.instruments.scene import Scene
from firmware.journal.evidence import evidence_of
from firmware.journal.found_again import alike, by_seal, left_out
from firmware.journal.inputs import decided_of, settings_of
from firmware.journal.made_again import others_of
from firmware.journal.mark_numbers import answer_object, answer_of, of_answer, of_codes, spots_of
from firmware.journal.row import JournalRow, RowKind

Pair = tuple[Any, Any, str]
"""What is stored, what is found again in its place, and what it is called."""


def of_mark(row: JournalRow, registry: Registry) -> Iterator[Pair]:
    """What of a mark is found again."""
    body = row.body
    kept, rest = evidence_of(body, row.blobs.get("codes", b""))
    scene = kept.scene()
    read, inputs = spots_of(scene, registry), kept.inputs
    yield of_codes(body["read"], inputs), of_codes(read, inputs), ""
    name = row.head["instrument"]
    if body["answer_from_codes"]:
        line = registry.of_name(name)
        like = line.instrument.settings(kept.profile, kept.inputs.rate)
        settings, before = settings_of(body["settings"], like), before_of(body, rest)
        answer = answer_of(scene, line, settings, before)
        again = None if answer is None else answer_object(answer, line)
        yield of_codes(body["answer"], inputs), of_codes(again or {}, inputs), name
    elif body["answer"] is not None and body.get("decided") is not None:
        checked = registry.of_name(name).recomputed
        made_of = decided_of(body["decided"], checked.DECIDED)
        again = checked.answer_again(body["answer"], made_of, scene, others_of(body, rest)[0])
        yield alike(body["answer"], again), again, name


def missing(row: JournalRow, pairs: Sequence[Pair], registry: Registry) -> Iterator[str]:
    """What of an answer or an event was made of something that is no longer there."""
    body = row.body
    if body.get("decided") is None or body.get("answer_from_codes"):
        return
    stored, again = body.get("event"), pairs[0][1]
    if row.kind is RowKind.MARK:
        stored, again = of_answer(body["answer"]), pairs[-1][1]
    yield from left_out(stored, again, by_seal(row, registry))


def of_event(row: JournalRow, registry: Registry) -> Iterator[Pair]:
    """What of an event is found again."""
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


def before_of(body: dict[str, Any], packed: bytes) -> Scene | None:
    """The earlier scene that a row rests on; None where there is none."""
    found = body.get("before")
    return None if found is None else evidence_of(found, packed)[0].scene()
