"""What is wrong in a profile: the validator's findings in words a camera crew can act on."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from firmware.profiles.document import (
    NAMED,
    TABLE,
    CurveTable,
    Document,
    SignalTable,
    StripeTable,
)
from firmware.spelling import offer

Key = tuple[str | int, ...]

_TABLES: Mapping[str, type[BaseModel]] = {
    "curve": CurveTable,
    "signal": SignalTable,
    "stripes": StripeTable,
}

_REMEDIES = {
    "missing": "is missing; add it, as in {example}",
    "string_type": "{value} is not text; put it in quotes",
    "float_type": "{value} is not a number; write one, without quotes",
    "float_parsing": "{value} is not a number; write one, without quotes",
    "finite_number": "{value} is no number a curve can have; write an ordinary one",
    "greater_than": "{value} makes no curve that rises; write a number above {gt:g}",
    "string_too_short": "is empty; write a name",
    "string_too_long": "is longer than fits; shorten it",
    "tuple_type": 'is {value}, not a list; write stripes = [{{above = "95 %"}}]',
    "too_long": "has too many entries to be told apart; keep to 8",
}
_EXAMPLES = {"curve": 'curve = "BT.709"', "name": 'name = "my curve"'}


@dataclass(frozen=True, slots=True)
class Problem:
    """One mistake: the key it is at, and what is wrong with it, its value and the remedy."""

    key: Key
    what: str

    @property
    def path(self) -> str:
        """The key as a person writes it: ``stripes[1].within`` counts entries from 1."""
        out = ""
        for part in self.key:
            if isinstance(part, int):
                out += f"[{part + 1}]"
            else:
                out += f".{part}" if out else part
        return out


def problems_of(error: ValidationError) -> list[Problem]:
    """Every finding of the validator, in the order of the document's keys."""
    return [_problem(each) for each in error.errors(include_url=False)]


def _problem(found: ErrorDetails) -> Problem:
    key = tuple(part for part in found["loc"] if part not in {NAMED, TABLE})
    kind, given = found["type"], found["input"]
    if kind == "extra_forbidden":
        return Problem(key, f"there is no such key; {_known_keys(key)}")
    if kind == "value_error":
        return Problem(key, str(found["ctx"]["error"]))
    if kind == "stripe":
        return Problem(key, found["msg"])
    if kind in {"model_type", "model_attributes_type", "dict_type"}:
        return Problem(key, f"{_shown(given)} is not a table; {_table_example(key)}")
    words = _REMEDIES.get(kind)
    if words is None:
        return Problem(key, f"{_shown(given)}: {found['msg'][:1].lower()}{found['msg'][1:]}")
    context = found.get("ctx", {})
    example = _EXAMPLES.get(str(key[-1]), str(key[-1]))
    return Problem(key, words.format(value=_shown(given), example=example, **context))


def _known_keys(key: Key) -> str:
    table: type[BaseModel] = Document if len(key) == 1 else _TABLES.get(str(key[0]), Document)
    return offer(str(key[-1]), table.model_fields)


def _table_example(key: Key) -> str:
    if key[:1] == ("stripes",):
        return 'write {above = "95 %"}'
    return 'write [signal] on a line of its own, and range = "limited" below it'


def _shown(given: Any) -> str:  # noqa: ANN401 - whatever stands in the file
    text = repr(given)
    return text if len(text) <= 60 else f"{text[:57]}..."
