"""What an answer that rests on more than one frame is made of, kept and found again.

An instrument of such answers has a module `from_codes`: `places(answer)` and `keep(answer)` say
what is to be kept, of kind `MADE_OF`; `answer(found)` makes the answer of that alone, so that the
one in a mark and the one that is found later are the same. One that sees events has
`EVENT_MADE_OF`, `keep_event` and `event` too. What is kept are native codes, and besides them
decisions, settings
and times; no number that was measured.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from firmware.instruments.kept_places import KeptPlaces
from firmware.instruments.pin_frames import PinFrames
from firmware.instruments.scene import Scene


@dataclass(frozen=True, slots=True, eq=False)
class Grounds:
    """What is kept.

    Attributes
    ----------
    made_of:
        A dataclass of the instrument's own: decisions, settings, times.
    scenes:
        Codes of places of earlier frames.
    frames:
        Codes of pins alone in other frames, by the pins' numbers.
    """

    made_of: Any
    scenes: tuple[KeptPlaces, ...] = ()
    frames: Mapping[int, PinFrames] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class GroundsFound:
    """What is left of it, and the scene of the mark: as it was kept, put back."""

    made_of: Any
    scene: Scene
    scenes: Sequence[Scene] = ()
    frames: Mapping[int, PinFrames] = field(default_factory=dict)
