"""How a unit is locked, as part of its state."""

from dataclasses import dataclass

from firmware.actions import Press
from firmware.presets.model import Lock
from overlays.draw.layout.views import View


@dataclass(frozen=True, slots=True)
class Locking:
    """A lock, and how it stands.

    Attributes
    ----------
    lock:
        What it allows, and its code.
    view:
        The one that a locked unit shows.
    is_on:
        Whether it is locked now.
    typed:
        The last presses, as many as the code has.
    refusals:
        How often something was asked for that is not allowed.
    """

    lock: Lock
    view: View
    is_on: bool = True
    typed: tuple[Press, ...] = ()
    refusals: int = 0
