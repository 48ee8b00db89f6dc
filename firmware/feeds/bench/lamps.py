"""Lamps of the bench that flicker: on the mains their light swings at twice its frequency.

A frame is taken for one moment, as with a short shutter: what is seen is the beat of the swing
with the frame rate. Where one is a multiple of the other (100 swings and 25 frames a second) light
stands still from frame to frame, and is another whenever the bench is opened anew.
"""

import math
from dataclasses import dataclass

GOLDEN = 0.6180339887
"""Turns from one bench to the next, spread as evenly as can be (the golden section)."""


@dataclass(frozen=True, slots=True)
class Lamps:
    """How the light swings.

    Attributes
    ----------
    swing_stops:
        From the darkest moment to the brightest; 0 for light that stands still.
    mains_hertz:
        Of the mains.
    """

    swing_stops: float = 0.0
    mains_hertz: float = 60.0

    @property
    def is_steady(self) -> bool:
        """Whether light stands still."""
        return self.swing_stops == 0.0

    def stops(self, number: int, rate: float, opened: float) -> float:
        """Light of a frame against its mean.

        Parameters
        ----------
        number, rate:
            Of the frame, from 0, and frames a second.
        opened:
            Any number; another one begins elsewhere in the swing.

        Returns
        -------
        float
            In stops, 0 in the mean of the light.
        """
        if self.is_steady:
            return 0.0
        ratio = 2.0**self.swing_stops
        depth = (ratio - 1.0) / (ratio + 1.0)
        turns = 2.0 * self.mains_hertz * number / rate + GOLDEN * opened
        return math.log2(1.0 + depth * math.sin(2.0 * math.pi * (turns % 1.0)))
