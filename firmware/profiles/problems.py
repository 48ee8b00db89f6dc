"""What is wrong in a profile: the validator's findings in words a camera crew can act on."""

from dataclasses import dataclass
from typing import get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from firmware.profiles.document import NAMED, TABLE, Document
from firmware.written.spelling import offer
from overlays.wording.read_number import short

Key = tuple[str | int, ...]

_REMEDIES = {
    "missing": "is missing; add it, as in {example}",
    "string_type": "{value} is not text; put it in quotes",
    "float_type": "{value} is not a number; write one, without quotes",
    "float_parsing": "{value} is not a number; write one, without quotes",
    "finite_number": "{value} is no number a curve can have; write an ordinary one",
    "greater_than": "{value} makes no curve that rises; write a number above {gt:g}",
    "greater_than_equal": "{value} lies outside; write a number from {ge:g} on",
    "less_than_equal": "{value} lies outside; write a number up to {le:g}",
    "string_too_short": "is empty; write a name",
    "string_too_long": "is longer than fits; shorten it",
    "bool_type": "{value} is not yes or no; write true or false, without quotes",
    "int_type": "{value} is not a whole number; write one, without quotes",
    "tuple_type": "is {value}, not a list; write {example}",
    "too_long": "has too many entries to be told apart; keep to 8",
}
_EXAMPLES = {
    "curve": 'curve = "BT.709"',
    "name": 'name = "my curve"',
    "stripes": 'stripes = [{above = "95 %"}]',
    "pins": 'pins = [{x = 0.5, y = 0.5, name = "key"}]',
    "only": 'only = ["0", "0.6", "1.2"]',
    "at": 'at = "40 %"',
    "within": 'within = "2 %"',
    "x": "x = 0.5",
    "y": "y = 0.5",
}


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


def problems_of(error: ValidationError, whole: type[BaseModel] = Document) -> list[Problem]:
    """Every finding of the validator, in the order of the keys of the `whole` document."""
    return [_problem(each, whole) for each in error.errors(include_url=False)]


def _problem(found: ErrorDetails, whole: type[BaseModel]) -> Problem:
    key = tuple(part for part in found["loc"] if part not in {NAMED, TABLE})
    kind, given = found["type"], found["input"]
    if kind == "extra_forbidden":
        return Problem(key, f"there is no such key; {_known_keys(key, whole)}")
    if kind == "value_error":
        return Problem(key, str(found["ctx"]["error"]))
    if kind == "stripe":
        return Problem(key, found["msg"])
    if kind in {"model_type", "model_attributes_type", "dict_type"}:
        return Problem(key, f"{short(given)} is not a table; {_table_example(key)}")
    words = _REMEDIES.get(kind)
    if words is None:
        return Problem(key, f"{short(given)}: {found['msg'][:1].lower()}{found['msg'][1:]}")
    context = found.get("ctx", {})
    example = _EXAMPLES.get(str(key[-1]), str(key[-1]))
    return Problem(key, words.format(value=short(given), example=example, **context))


def _known_keys(key: Key, table: type[BaseModel]) -> str:
    for part in key[:-1]:
        if isinstance(part, str) and part in table.model_fields:
            table = _table_in(table.model_fields[part].annotation) or table
    return offer(str(key[-1]), table.model_fields)


def _table_in(annotation: object) -> type[BaseModel] | None:
    """The table that a field holds, or holds a list of."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in get_args(annotation) if (found := _table_in(part))), None)


def _table_example(key: Key) -> str:
    if key[:1] == ("stripes",):
        return 'write {above = "95 %"}'
    if key[:1] == ("pins",):
        return "write {x = 0.5, y = 0.5}"
    if key[:1] == ("camera",) and len(key) > 1:
        return 'write {now = "5.6", lowest = "2.8", highest = "22"}'
    if key[:1] == ("chips",) and len(key) > 1:
        return 'write {at = "40 %", within = "2 %"}'
    if key[0] in {"camera", "chips", "watch", "balance"}:
        return f"write [{key[0]}] on a line of its own, and its keys below it"
    return 'write [signal] on a line of its own, and range = "limited" below it'
