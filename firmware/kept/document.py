"""The shape of the file of settings: JSON, checked as a whole when it is read."""

import json
from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

SCHEMA: Literal[1] = 1
"""Of the shape below; it goes up when an older file would no longer be understood as it is."""

MIGRATIONS: tuple[Callable[[dict[str, Any]], dict[str, Any]], ...] = ()
"""What brings a file of each number to the next, the last one to `SCHEMA`."""

Name = Annotated[str, Field(max_length=200)]
Pixels = Annotated[int, Field(ge=0, le=100_000)]
Edge = Annotated[int, Field(ge=2, le=100_000)]
Number = Annotated[float, Field(allow_inf_nan=False, ge=-1e6, le=1e6)]
Words = Annotated[dict[Name, Name], Field(max_length=40)]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class KeptSpot(_Part):
    """A spot: its centre and edge in pixels of the picture it was set on."""

    column: Pixels
    row: Pixels
    size: Edge


class KeptPin(_Part):
    """A pin: its name, where it is, and whether a person set it there."""

    name: Name
    place: KeptSpot
    by_hand: bool


class KeptLook(_Part):
    """What was set by hand while one profile was in use.

    Attributes
    ----------
    name, made_of:
        Of the profile, and a fingerprint of what its file said then: what was set on another
        version of it does not go over a file that somebody has edited since.
    stripes, selected:
        Where its stripes were nudged to, in their own units and order, and the chosen one.
    dial_kelvin:
        As told on the screen.
    instruments:
        What each instrument keeps of its settings.
    """

    name: Name
    made_of: Name
    stripes: Annotated[tuple[Number, ...], Field(max_length=16)] = ()
    selected: Annotated[int, Field(ge=0, le=16)] = 0
    dial_kelvin: Number | None = None
    instruments: Annotated[dict[Name, Words], Field(max_length=40)] = Field(default_factory=dict)


class KeptAsked(_Part):
    """What the options asked for then: one that has changed since goes over what was set."""

    view: Name
    profile: Name | None = None


class KeptPicture(_Part):
    """How the picture is shown; `frame` and `factor` count what can be stepped through."""

    transform: Name
    stop_map: bool
    flipped: bool
    mirrored: bool
    frame: Annotated[int, Field(ge=0, le=100)] | None
    factor: Annotated[int, Field(ge=0, le=100)] | None
    times: Annotated[int, Field(ge=1, le=100)]
    edges: bool = False


class Kept(_Part):
    """All that is kept.

    Attributes
    ----------
    view, profile:
        By name; the profile is None where nobody had chosen one.
    columns, rows:
        Of the picture that places are counted on.
    pins:
        None where they are those of the profile.
    looks:
        One for each profile that something was set on.
    picture:
        None in files of before it could be set.
    """

    schema_: Literal[1] = Field(default=SCHEMA, alias="schema")
    asked: KeptAsked
    view: Name
    profile: Name | None = None
    columns: Annotated[int, Field(ge=2, le=100_000)]
    rows: Annotated[int, Field(ge=2, le=100_000)]
    spot: KeptSpot
    pins: Annotated[tuple[KeptPin, ...], Field(max_length=16)] | None = None
    trace: Name
    painted: bool
    gain: Annotated[int, Field(ge=1, le=100)]
    looks: Annotated[tuple[KeptLook, ...], Field(max_length=200)] = ()
    picture: KeptPicture | None = None

    def content(self) -> bytes:
        """As it is written."""
        return (self.model_dump_json(by_alias=True, indent=1) + "\n").encode()


def understood(content: bytes) -> Kept:
    """What a file says, one of an older number as its migrations make of it.

    Raises
    ------
    ValueError
        It is no JSON, of another shape, or holds a number that cannot be meant.
    """
    number, told = number_of(content), None
    if number is not None and SCHEMA - len(MIGRATIONS) <= number < SCHEMA:
        told = json.loads(content)
        for step in MIGRATIONS[number - SCHEMA :]:
            told = step(told)
    return Kept.model_validate_json(content if told is None else json.dumps(told))


def number_of(content: bytes) -> int | None:
    """The number of a file's shape; None where it does not say."""
    try:
        found = json.loads(content)["schema"]
    except (ValueError, TypeError, LookupError, RecursionError):
        return None
    return found if isinstance(found, int) and not isinstance(found, bool) else None
