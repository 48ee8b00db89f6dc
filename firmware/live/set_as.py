"""What a preset of the kit does to a running unit: view, profile, goal, never a lock. Pure."""

from dataclasses import replace

from firmware.actions import SetAs
from firmware.live.state import State, with_profile
from firmware.presets.model import Allowed
from firmware.profiles.model import Profile
from firmware.rail.pages import FIRST
from overlays.signal.quantities import Level


def set_as(state: State, asked: SetAs) -> State:
    """The state as a preset of the kit wants it; a locked unit's only where its own allows that.

    What it names and this unit does not have stays as it is: it was looked for before.
    """
    locking = state.locking
    if locking is not None and locking.is_on and Allowed.PRESET not in locking.lock.allows:
        return state
    profiles = tuple(aimed(each, asked.target, asked.within_stops) for each in state.profiles)
    state = replace(state, profiles=profiles)
    names = [each.name.casefold() for each in profiles]
    wanted = None if asked.profile is None else asked.profile.casefold()
    if wanted in names and names.index(wanted) != state.profile:
        state = with_profile(state, names.index(wanted))
    if asked.view is None:
        return state
    view = state.registry.view(asked.view)
    if locking is not None:
        state = replace(state, locking=replace(locking, view=view))
    return replace(state, view=view, rail=FIRST)


def aimed(profile: Profile, target: Level | None, within_stops: float | None) -> Profile:
    """A profile with the goal that is asked for over its own."""
    if target is not None:
        profile = replace(profile, target=target)
    return profile if within_stops is None else replace(profile, within_stops=within_stops)
