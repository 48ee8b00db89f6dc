"""Numbers, words and files of a mark or an event, beside what its codes and counts make of them."""

from collections.abc import Iterator
from typing import Any

from firmware.errors import JournalError
from firmware.instruments.registry import Line, Registry
from firmware.instruments.scene import Scene
from firmware.journal.composing import files_of, words_of
from firmware.journal.evidence import evidence_of
from firmware.journal.inputs import settings_of
from firmware.journal.made_again import found_of
from firmware.journal.mark_numbers import (
    Evidence,
    answer_object,
    answer_of,
    of_answer,
    of_codes,
    spots_of,
)
from firmware.journal.pairs_before import Pair, before_of
from firmware.journal.row import JournalRow, is_made_of_codes
from firmware.journal.seen_events import event_again


def of_mark(row: JournalRow, registry: Registry) -> Iterator[Pair]:
    """All of a mark."""
    body = row.body
    kept, rest = evidence_of(body, row.blobs.get("codes", b""))
    if kept.inputs.counts is None:
        raise JournalError("the counts of the whole picture are not there")
    scene = kept.scene()
    yield of_answer(body["read"]), of_answer(spots_of(scene, registry)), ""
    if not is_made_of_codes(row):  # of 0.11: what the other unit told is not there
        return
    name = row.head["instrument"]
    line = None if name is None else registry.of_name(name)
    answer = _answer(row, line, scene, kept, rest)
    again: Any = None
    said: dict[str, str] = {}
    if line is not None and answer is not None:
        again, said = answer_object(answer, line), line.instrument.words(answer)
    yield _found(body["answer"]), _found(again), str(name)
    yield body["said"], said, "said"
    yield row.head["words"], words_of(said), "words"
    yield body["files"], files_of(answer, line, row.head["slate"]), "files"


def _found(answer: Any) -> Any:  # noqa: ANN401 - JSON
    return None if answer is None else of_answer(answer)


def _answer(row: JournalRow, line: Line | None, scene: Scene, kept: Evidence, rest: bytes) -> Any:  # noqa: ANN401 - each instrument has its own
    body = row.body
    if line is None:
        return None
    if body["answer_from_codes"]:
        like = line.instrument.settings(kept.profile, kept.inputs.rate)
        settings = settings_of(body["settings"], like)
        return answer_of(scene, line, settings, before_of(body, rest))
    if body.get("made_of") is None:
        return None
    return line.from_codes.answer(found_of(body, rest, scene, line.from_codes.MADE_OF))


def of_event(row: JournalRow, registry: Registry) -> Iterator[Pair]:
    """All of an event."""
    body, line = row.body, registry.of_name(row.head["view"])
    scene, rest, seen = None, b"", body.get("seen")
    if seen is not None:
        kept, rest = evidence_of(seen, row.blobs.get("codes", b""))
        scene = kept.scene()
        # No counts of a whole picture: nothing is said of it.
        stored, again = (
            of_codes(each, kept.inputs) for each in (seen["read"], spots_of(scene, registry))
        )
        yield stored, again, "seen"
    event = event_again(line, body, rest, scene)
    yield body["event"], event, str(row.head["view"])
    told = event["words"], event["change"], event["start"]["timecode"]
    head = row.head["words"], row.head["change"], row.head["timecode"]
    yield list(head), list(told), "head"
