"""From an answer's dataclass to an object of JSON. The only place where numbers are cleaned."""

import dataclasses
import math
from collections.abc import Mapping
from enum import Enum
from pathlib import Path
from typing import Any

import numpy as np

SCHEMA = 1
"""Number of the public interface: no key changes its meaning or goes without another one."""
DECIMALS = 6
"""Kept of a number: far below any ±."""
ABSENT = "absent"
"""In a field's metadata: the key is left out where there is nothing to say."""


def absent(words: str = "") -> Any:  # noqa: ANN401 - as `dataclasses.field` itself
    """A field that is left out of the object where it is None; `words` say what it is."""
    return dataclasses.field(default=None, metadata={ABSENT: True, "words": words})


def said(words: str) -> Any:  # noqa: ANN401 - as `dataclasses.field` itself
    """A field, and what it is in the words of the schema."""
    return dataclasses.field(metadata={"words": words})


def finite(number: float | None) -> float | None:
    """A finite number, rounded to what is far below any ±; else None.

    Examples
    --------
    >>> finite(0.12345678), finite(float("nan")), finite(-0.0)
    (0.123457, None, 0.0)
    """
    if number is None or not math.isfinite(number):
        return None
    return round(float(number), DECIMALS) + 0.0  # + 0.0: minus zero is zero


def clean(value: object) -> Any:  # noqa: ANN401, PLR0911 - JSON is any of its kinds
    """Only dict, list, str, bool, int, finite float and None, of anything an answer is made of.

    Raises
    ------
    TypeError
        The value has a place in no object.
    """
    if value is None or isinstance(value, bool | str):
        return value
    if isinstance(value, Enum):
        return clean(value.value)
    if isinstance(value, int | np.integer):
        return int(value)
    if isinstance(value, float | np.floating):
        return finite(float(value))
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return _fields(value)
    if isinstance(value, Mapping):
        return {str(key): clean(each) for key, each in value.items()}
    if isinstance(value, np.ndarray):
        return clean(value.tolist())
    if isinstance(value, list | tuple):
        return [clean(each) for each in value]
    if isinstance(value, Path):
        return str(value)
    raise TypeError(f"{type(value).__name__} has no place in an object of JSON")


def _fields(value: Any) -> dict[str, Any]:  # noqa: ANN401 - any dataclass
    out = {}
    for field in dataclasses.fields(value):
        found = getattr(value, field.name)
        if found is None and field.metadata.get(ABSENT):
            continue
        # A keyword of Python is spelt with a line behind it.
        out[field.name.rstrip("_")] = clean(found)
    return out


def enveloped(answer: object) -> dict[str, Any]:
    """The whole object of ``--json``: the schema's number, then the answer."""
    return {"schema": SCHEMA, **clean(answer)}
