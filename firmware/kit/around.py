"""What a unit's post is handed: all that it touches of the unit."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from firmware.clock import Clock
from firmware.health.condition import Condition
from firmware.journal.slate import Slate
from firmware.kit.payloads import KitPreset


@dataclass(frozen=True, slots=True)
class PostAround:
    """What a unit's post is handed.

    Attributes
    ----------
    clock:
        Time.
    journal:
        The file of marks.
    slate, set_slate:
        What marks carry; lets them carry another from now on.
    take_preset:
        Takes a preset that came for all units, or refuses it.
    health:
        How the machine is, as it was looked at last.
    say:
        Takes a sentence for the log.
    """

    clock: Clock
    journal: Path
    slate: Callable[[], Slate] = Slate
    set_slate: Callable[[Slate], str] = lambda _slate: ""
    take_preset: Callable[[KitPreset], None] = lambda _preset: None
    health: Callable[[], tuple[Condition, ...]] = tuple
    say: Callable[[str], None] = lambda _words: None
