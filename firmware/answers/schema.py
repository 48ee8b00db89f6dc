"""The JSON Schema of what ``--json`` gives, made from the dataclasses that the objects are."""

import dataclasses
import typing
from typing import Any

from pydantic import TypeAdapter

from firmware.answers.cleaner import SCHEMA


def schema_of(kind: type, title: str) -> dict[str, Any]:
    """The schema of the object a dataclass becomes, with what each key is."""
    made = TypeAdapter(kind).json_schema(mode="serialization")
    parts = made.pop("$defs", {})
    kinds = {each.__name__: each for each in _dataclasses(kind)}
    for name, part in {**parts, kind.__name__: made}.items():
        if name in kinds:
            _describe(part, kinds[name])
    properties = {"schema": {"const": SCHEMA}, **made["properties"]}
    out = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **made,
        "title": title,
        "properties": properties,
        "required": ["schema", *made.get("required", [])],
    }
    return {**out, "$defs": parts} if parts else out


def _describe(part: dict[str, Any], kind: Any) -> None:  # noqa: ANN401 - a dataclass
    """Say what each key is, and spell those right that are words of Python."""
    properties = part.get("properties", {})
    for field in dataclasses.fields(kind):
        key = field.name.rstrip("_")
        entry = properties.pop(field.name)
        entry.pop("title", None)
        if field.metadata.get("words"):
            entry["description"] = field.metadata["words"]
        properties[key] = entry
    part["required"] = [name.rstrip("_") for name in part.get("required", [])]
    part["additionalProperties"] = False


def _dataclasses(kind: Any, seen: set[Any] | None = None) -> set[Any]:  # noqa: ANN401 - any type
    """Every dataclass that one is made of, itself among them."""
    found = set() if seen is None else seen
    if dataclasses.is_dataclass(kind) and kind not in found:
        found.add(kind)
        for hint in typing.get_type_hints(kind).values():
            _dataclasses(hint, found)
    for each in typing.get_args(kind):
        _dataclasses(each, found)
    return found
