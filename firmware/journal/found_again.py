"""Marks and events of before 0.11: what of their numbers is found again, and what is not.

An instrument's module `recomputed` says which of its numbers the codes and the means that were kept
give again; all others are held by the seal of their row, and named wherever the row is shown.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from firmware.errors import ArgumentError
from firmware.instruments.registry import REGISTRY, Registry
from firmware.journal.inputs import decided_of
from firmware.journal.mark_numbers import OF_PICTURE, numbers_in, of_answer
from firmware.journal.row import WITHOUT_TOLD, JournalRow, RowKind, is_made_of_codes

WORDS, HEALTH = "words", "health"
HALF_WIDTH = "pm"
"""How the name of a half width ends."""


class Since(NamedTuple):
    """What half widths may have become since a row was written, by later rules."""

    may_be_none: bool
    """Any may be none any more."""
    may_differ: Callable[[str], bool]
    """Those of such a name may be another."""


def by_seal(row: JournalRow, registry: Registry = REGISTRY) -> tuple[str, ...]:
    """What of a row no codes give again: names of numbers, what the screen said, the machine's.

    Of rows since 0.11 that is what the machine said of itself, and nothing that was measured; but
    of a match with another unit, as 0.11 kept it, what was found.

    Raises
    ------
    KeyError, TypeError, AttributeError, ValueError
        The row is not as it was written.
    """
    body, found = row.body, list[str]()
    health = (HEALTH,) if numbers_in(body.get("health")) else ()
    if is_made_of_codes(row):
        return health
    if body.get("schema") == WITHOUT_TOLD:
        return (*named(body["answer"]), WORDS, *health)
    if body.get("answer_from_codes") is not None and not _has_counts(body):
        found += [f"{OF_PICTURE}.{each}" for each in named(body["read"].get(OF_PICTURE))]
    if row.kind is RowKind.EVENT:
        found += _of_event(row, registry)
    elif isinstance(answer := body.get("answer"), dict) and not body.get("answer_from_codes"):
        found += _of_answer(row, answer, registry)
    if row.head.get("words"):
        found.append(WORDS)
    return tuple(dict.fromkeys((*found, *health)))


def _has_counts(body: Mapping[str, Any]) -> bool:
    """Whether the whole picture's counts are kept, as they are since 0.6."""
    return (body.get("inputs") or {}).get("counts") is not None


def _of_answer(row: JournalRow, answer: dict[str, Any], registry: Registry) -> Sequence[str]:
    checked = _checked(row.head.get("instrument"), registry)
    stored = row.body.get("decided")
    if checked is None or stored is None:
        return named(of_answer(answer))
    names: Sequence[str] = checked.by_seal(answer, decided_of(stored, checked.DECIDED))
    return names


def _of_event(row: JournalRow, registry: Registry) -> Sequence[str]:
    checked, event = _checked(row.head.get("view"), registry), row.body.get("event") or {}
    stored = row.body.get("decided")
    if checked is None or stored is None:
        return named(event)
    names: Sequence[str] = checked.event_by_seal(event, decided_of(stored, checked.OF_EVENT))
    return names


def _checked(name: object, registry: Registry) -> Any:  # noqa: ANN401 - a module
    try:
        return registry.of_name(name).recomputed
    except ArgumentError:
        return None


def left_out(stored: object, again: object, sealed: Sequence[str]) -> list[str]:
    """Numbers that should be found again and were not, in sentences: what they rest on is gone."""
    missing = [each for each in named(stored) if each not in named(again)]
    return [
        f"{each} cannot be found again: what it was made of is not there"
        for each in missing
        if not any(each == name or each.startswith(f"{name}.") for name in sealed)
    ]


def named(found: object, where: str = "") -> tuple[str, ...]:
    """Names of all numbers in an object of JSON, those of a list once."""
    return tuple(dict.fromkeys(_named(found, where)))


def _named(found: object, where: str) -> Iterator[str]:
    if isinstance(found, Mapping):
        for key, each in found.items():
            yield from _named(each, f"{where}.{key}".lstrip("."))
    elif isinstance(found, list):
        for each in found:
            yield from _named(each, where)
    elif numbers_in(found):
        yield where


def said_then(stored: Any, again: Any) -> Any:  # noqa: ANN401 - JSON
    """What was found again, without keys that objects have had only since a row was written."""
    if isinstance(stored, Mapping) and isinstance(again, Mapping):
        return {key: said_then(stored[key], each) for key, each in again.items() if key in stored}
    if isinstance(stored, list) and isinstance(again, list) and len(stored) == len(again):
        return [said_then(one, other) for one, other in zip(stored, again, strict=True)]
    return again


def withdrawn(stored: object, again: object, since: Since, where: str = "") -> Iterator[str]:
    """Names of half widths that are stored, and that later rules make none or another."""
    if isinstance(stored, Mapping) and isinstance(again, Mapping):
        for key in stored.keys() & again.keys():
            inner = f"{where}.{key}".lstrip(".")
            if key.endswith(HALF_WIDTH) and _is_withdrawn(stored[key], again[key], since, key):
                yield inner
            else:
                yield from withdrawn(stored[key], again[key], since, inner)
    elif isinstance(stored, list) and isinstance(again, list):
        for one, other in zip(stored, again, strict=False):
            yield from withdrawn(one, other, since, where)


def _is_withdrawn(stored: object, again: object, since: Since, key: str) -> bool:
    """Whether a half width, or one of a list of them, is none any more, or another."""
    if isinstance(stored, list) and isinstance(again, list):
        pairs = zip(stored, again, strict=False)
        return any(_is_withdrawn(*each, since, key) for each in pairs)
    is_none = since.may_be_none and again is None
    is_other = since.may_differ(key) and _is_number(again) and stored != again
    return _is_number(stored) and (is_none or is_other)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def without(stored: Any, again: Any, since: Since) -> Any:  # noqa: ANN401 - JSON
    """What is stored, without half widths that were withdrawn."""
    if isinstance(stored, Mapping) and isinstance(again, Mapping):
        return {
            key: _kept_width(each, again.get(key), since, key)
            if key.endswith(HALF_WIDTH)
            else without(each, again.get(key), since)
            for key, each in stored.items()
        }
    if isinstance(stored, list) and isinstance(again, list) and len(stored) == len(again):
        pairs = zip(stored, again, strict=True)
        return [without(one, other, since) for one, other in pairs]
    return stored


def _kept_width(stored: Any, again: Any, since: Since, key: str) -> Any:  # noqa: ANN401 - JSON
    if isinstance(stored, list) and isinstance(again, list) and len(stored) == len(again):
        pairs = zip(stored, again, strict=True)
        return [_kept_width(one, other, since, key) for one, other in pairs]
    return None if _is_withdrawn(stored, again, since, key) else stored


def alike(stored: Any, again: Any) -> Any:  # noqa: ANN401 - JSON
    """What of a stored object stands where something was found again."""
    if isinstance(stored, Mapping) and isinstance(again, Mapping):
        return {key: alike(stored.get(key), each) for key, each in again.items()}
    if isinstance(stored, list) and isinstance(again, list) and len(stored) == len(again):
        return [alike(one, other) for one, other in zip(stored, again, strict=True)]
    return stored
