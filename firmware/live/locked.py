"""What a locked unit does with what is pressed: nothing, but what its preset allows. Pure."""

from dataclasses import replace

from firmware.actions import HeldTogether, Leave, Meant, PictureSize, PlaceSpot, Press
from firmware.live import state as unlocked
from firmware.live.locking import Locking
from firmware.live.state import Running, State
from firmware.presets.model import Allowed
from firmware.rail.pages import FIRST

MOVES = frozenset(press for press in Press if press.name.startswith("SPOT_"))

REFUSED = "locked"
"""Said of a press that a locked unit does not take. How it is lifted is nobody's business."""


def after(state: State, action: Meant) -> State:
    """The state after an action, with the lock in between where there is one."""
    locking = state.locking
    if isinstance(action, Leave):
        return replace(state, running=Running.QUIT)
    if isinstance(action, HeldTogether):
        return state if locking is None else _turned(state, locking)
    if locking is None or not locking.is_on or isinstance(action, PictureSize):
        return unlocked.after(state, action)
    return _after_locked(state, locking, action)


def _turned(state: State, locking: Locking) -> State:
    """Two buttons were held: the lock is lifted, or set again with the view of its preset."""
    if locking.is_on:
        return replace(state, locking=replace(locking, is_on=False, typed=()))
    locking = replace(locking, is_on=True, typed=())
    state = replace(state, locking=locking, view=locking.view, held=False, help=False)
    return replace(state, rail=FIRST)


def is_locked(state: State) -> bool:
    """Whether it is locked now."""
    return state.locking is not None and state.locking.is_on


def refused(state: State) -> State:
    """A locked unit after something that it does not take."""
    locking = state.locking
    if locking is None:
        return state
    return replace(state, locking=replace(locking, refusals=locking.refusals + 1))


def takes(state: State, press: Press) -> bool:
    """Whether a press does anything as it is locked now."""
    locking = state.locking
    return locking is None or not locking.is_on or _is_allowed(state, locking, press)


def _after_locked(state: State, locking: Locking, action: Press | PlaceSpot) -> State:
    code = locking.lock.code
    if isinstance(action, Press) and code:
        locking = replace(locking, typed=(*locking.typed, action)[-len(code) :])
        if locking.typed == code:
            return replace(state, locking=replace(locking, is_on=False, typed=()))
        state = replace(state, locking=locking)
    if _is_allowed(state, locking, action):
        made = unlocked.after(state, action)
        if _without(made, state, action) == state:
            return made
    return refused(state)


def _is_allowed(state: State, locking: Locking, action: Press | PlaceSpot) -> bool:
    allows = locking.lock.allows
    if isinstance(action, PlaceSpot) or action in MOVES:
        return Allowed.SPOT in allows
    if action is Press.MARK:
        return Allowed.MARK in allows
    clears = state.registry.in_view(state.view).clears
    return Allowed.CLEAR in allows and action in clears


def _without(made: State, state: State, action: Press | PlaceSpot) -> State:
    """What came of it without what is allowed: in some views arrows move more than the spot."""
    if isinstance(action, PlaceSpot) or action in MOVES:
        return replace(made, spot=state.spot, sought=state.sought, searches=state.searches)
    if action is Press.MARK:
        return replace(made, marks=state.marks)
    return replace(made, settings=state.settings)
