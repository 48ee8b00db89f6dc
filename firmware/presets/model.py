"""A preset as the rest of midgrey uses it, and the lock that it may ask for."""

from dataclasses import dataclass, fields, replace
from enum import Enum
from pathlib import Path
from typing import Any

from firmware.actions import Press
from firmware.kit.settings import KitSettings
from firmware.written.options import RunOptions
from overlays.signal.quantities import Level


class Allowed(Enum):
    """What a locked unit may still be asked for; the value is how a preset spells it."""

    SPOT = "spot"
    """The spot may be moved."""
    CLEAR = "clear"
    """What a view has latched may be cleared."""
    MARK = "mark"
    """Marks may be written."""
    PAGE = "page"
    """The code that lifts the lock may come from a phone that is paired."""
    PRESET = "preset"
    """A preset of the kit may be taken; it lifts no lock."""


@dataclass(frozen=True, slots=True)
class Lock:
    """What a locked unit allows, and the presses that lift the lock besides two held buttons."""

    allows: frozenset[Allowed] = frozenset()
    code: tuple[Press, ...] = ()


@dataclass(frozen=True, slots=True)
class Preset:
    """What a unit starts as.

    Attributes
    ----------
    name, path, title:
        The name of its file without ending, the file, and what it is for a person.
    asked:
        Options of `run` by name, as they are typed.
    target, within_stops:
        Where the spot should be and what still counts as there; None leaves them to the profile.
    lock:
        None where it is not locked.
    page_code:
        The code that pairs phones with the page; empty for none of its own.
    page_updates:
        Whether phones that are paired may bring versions of midgrey.
    kit:
        The kit that it belongs to; None for none.
    """

    name: str
    path: Path
    title: str
    asked: tuple[tuple[str, str | int], ...] = ()
    target: Level | None = None
    within_stops: float | None = None
    lock: Lock | None = None
    page_code: str = ""
    page_updates: bool = False
    kit: KitSettings | None = None

    def over(self, options: RunOptions) -> RunOptions:
        """The options with what the preset says: of a unit whose files somebody edits."""
        given: dict[str, Any] = dict(self.asked)
        return replace(options, **given)

    def under(self, options: RunOptions) -> RunOptions:
        """The options, and what the preset says where they say nothing: for whoever types them."""
        usual = {field.name: field.default for field in fields(RunOptions)}
        rest: dict[str, Any] = {k: v for k, v in self.asked if getattr(options, k) == usual[k]}
        return replace(options, **rest)
