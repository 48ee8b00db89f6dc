"""Presets of the kit on a running unit: judged in the kit's thread, followed in the loop's.

A locked unit refuses them unless its own preset allows them; no preset of a kit lifts a lock, and
none says anything of feed, page, kit or lock.
"""

from collections import deque
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from firmware.actions import SetAs
from firmware.errors import PresetError
from firmware.instruments.registry import REGISTRY
from firmware.live.run_plan import RunPlan
from firmware.live.state import State
from firmware.presets.from_kit import (
    FILE,
    KitGiven,
    KitKept,
    keep_taken,
    read_taken,
    understood,
)
from firmware.presets.model import Allowed, Lock
from firmware.system.files import reason_of

if TYPE_CHECKING:
    from firmware.kit.payloads import KitPreset

LOCKED = 'this unit is locked, and its own preset does not have "preset" in lock_allows'
TAKEN_BACK = "is taken back: from the next start on this unit is as its own preset says"
MOST_ASKED = 8


class Answer(Protocol):
    """Tells whoever sent a preset what became of it."""

    def __call__(self, preset: str, words: str, *, taken: bool) -> None:
        """Of the preset of an id, in words."""


def _untold(preset: str, words: str, *, taken: bool) -> None:
    """Nobody is told."""


class KitPresets:
    """What came, from one thread to the other.

    Parameters
    ----------
    path:
        Where what was taken is kept; None keeps nothing, as at a desk.
    unit:
        This unit's name.
    say:
        Takes a sentence for the log.
    """

    def __init__(self, path: Path | None, unit: str, say: Callable[[str], None]) -> None:
        self._path, self._unit, self._say = path, unit, say
        self._asked: deque[SetAs] = deque(maxlen=MOST_ASKED)
        self._words: deque[str] = deque(maxlen=MOST_ASKED)
        self._seen = ""
        self.state: State | None = None
        self.answer: Answer = _untold
        try:
            self._kept = KitKept() if path is None else read_taken(path)
        except PresetError:  # said where the start laid it over
            self._kept = KitKept()

    def take(self, message: "KitPreset") -> None:
        """Take a preset that came, or refuse it; what was taken or refused already is known."""
        is_meant = not message.units or self._unit in message.units
        if not is_meant or message.id in {self._kept.id, self._seen}:
            return
        self._seen = message.id
        try:
            words = self._taken(message)
        except PresetError as fault:
            self._tell(message.id, f"refused: {fault}", taken=False)
        else:
            self._tell(message.id, words, taken=True)

    def _taken(self, message: "KitPreset") -> str:
        given = understood(message.preset)
        if self._is_locked():
            raise PresetError(LOCKED)
        keys = {**self._kept.keys, **message.preset} if message.preset else {}
        self._kept = KitKept(message.id, keys)
        words = f"taken{f' ({given.title})' if given.title else ''}" if keys else TAKEN_BACK
        if self._path is not None:
            try:
                keep_taken(self._path, self._kept)
            except OSError as fault:
                words = f"{words}, until the power goes: {reason_of(fault)}"
        if keys:
            self._asked.append(SetAs(given.view, given.profile, given.target, given.within_stops))
        return words

    def over(self, plan: RunPlan) -> RunPlan:
        """A plan with what was taken so far; as it is where that cannot be followed."""
        try:
            return _over(plan, understood(self._kept.keys)) if allows(plan.lock) else plan
        except PresetError:
            return plan

    def _is_locked(self) -> bool:
        locking = None if self.state is None else self.state.locking
        return locking is not None and locking.is_on and not allows(locking.lock)

    def _tell(self, preset: str, words: str, *, taken: bool) -> None:
        self._say(f"the kit's preset {words}")
        self._words.append(f"the kit's preset: {words}")
        self.answer(preset, words, taken=taken)

    def take_asked(self) -> list[SetAs]:
        """What the loop is to be set as, each once."""
        return [self._asked.popleft() for _ in range(len(self._asked))]

    def take_words(self) -> str:
        """What is to stand on the screen of the newest, once."""
        words = self._words[-1] if self._words else ""
        self._words.clear()
        return words


def allows(lock: Lock | None) -> bool:
    """Whether a unit of that lock takes presets of the kit."""
    return lock is None or Allowed.PRESET in lock.allows


def laid_over(plan: RunPlan) -> RunPlan:
    """A plan with what the kit's presets said before the last restart."""
    if plan.kit is None or plan.keep is None or not allows(plan.lock):
        return plan
    try:
        given = understood(read_taken(plan.keep.with_name(FILE)).keys)
    except PresetError as fault:
        return replace(plan, wrong=(*plan.wrong, f"the kit's preset is skipped: {fault}"))
    return _over(plan, given)


def _over(plan: RunPlan, given: KitGiven) -> RunPlan:
    target, within = plan.goal
    if given.profile is not None:
        # A curve that the unit's own preset names is that of another camera.
        overrides = replace(plan.overrides, curve=None, carriage=None)
        plan = replace(plan, profile=given.profile, overrides=overrides)
    if given.view is not None:
        plan = replace(plan, view=REGISTRY.view(given.view))
    goal = (
        target if given.target is None else given.target,
        within if given.within_stops is None else given.within_stops,
    )
    return replace(plan, goal=goal)
