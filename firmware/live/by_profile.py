"""What is set by hand while a profile is in use, to be found again when it comes back. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from firmware.instruments.contract import Instrument
from firmware.instruments.desk import Desk
from firmware.profiles.model import Profile
from overlays.measure.counting.bands import Band

Settings = tuple[tuple[str, Any], ...]
"""What each instrument is set to, by its name."""


@dataclass(frozen=True, slots=True)
class ByProfile:
    """What belongs to a profile and may be moved by hand.

    Attributes
    ----------
    stripes, selected:
        Its stripes as nudged, and the one that is nudged.
    settings:
        What the instruments were set to.
    dial_kelvin:
        What the camera's balance is set to, as told on the screen.
    """

    stripes: tuple[Band, ...]
    selected: int
    settings: Settings
    dial_kelvin: float | None


def taken_up(
    profile: Profile,
    left: ByProfile | None,
    now: Settings,
    desk: Desk,
    instruments: Iterable[Instrument[Any, Any, Any]],
    rate: float,
) -> ByProfile:
    """What is set once a profile is in use (again).

    Parameters
    ----------
    profile:
        The one turned to.
    left:
        What was set when it was last in use; None where it never was.
    now, desk:
        What is set now, with the profile that is turned from.
    instruments, rate:
        Those there are, and the feed's frames a second.
    """
    before, present = {} if left is None else dict(left.settings), dict(now)
    settings = tuple(
        (each.name, each.with_profile(present[each.name], profile, rate, before.get(each.name)))
        for each in instruments
    )
    if left is not None:
        return ByProfile(left.stripes, left.selected, settings, left.dial_kelvin)
    # Another look on the same camera has no dial of its own: what was told still holds.
    told = desk.dial_kelvin if profile.dial is None else None
    return ByProfile(profile.stripes, 0, settings, told)
