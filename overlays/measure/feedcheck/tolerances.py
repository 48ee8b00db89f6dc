"""How far a lens cap, a grey card, a white chip and a clip may be off what they stand for.

Each is a bound, not a deviation: what lies within is never held against a hypothesis. None was
found in a publication; where one is derived, it says from what.
"""

from dataclasses import dataclass

import numpy as np

CAP_LIGHT = 0.001
"""Linear light that a covered lens may seem to send, to either side of none (common practice, no
source): the noise of a sensor in the dark is some 0.0004, as of the bench and of the clips of known
truth, and what a bent toe makes of its mean is within two and a half deviations."""

CAP_LEVEL = 0.004
"""Share of the code scale by which a camera's black may lie beside that of its curve: one code of
8 bits, four of 10 (common practice, no source)."""

CARD_SHARE = 0.05
"""Share by which a grey card may be off 18 % (common practice, no source)."""

METERED_STOPS = 0.1
"""How well a light meter and a lens put a card at mid-grey: meters read to a tenth of a stop
(common practice, no source)."""

CARD_STOPS = float(np.log2(1.0 + CARD_SHARE)) + METERED_STOPS
"""Both together, in stops: 0.17."""

WHITE_REFLECTANCE = 0.90
"""Of a white chip or a white card (common practice, no source)."""

WHITE_STOPS = float(np.log2(1.0 + CARD_SHARE) + np.log2(0.94 / 0.90))
"""How far white chip and grey card may be off each other's ratio of 5: the grey by its 5 %, the
white between 0.86 and 0.94 (common practice, no source)."""

DARK_STOPS = -4.0
"""The same grey card with the lens closed by so much."""

DARK_WITHIN_STOPS = 0.15
"""How far four stops on a lens or a shutter may be off: half a step of a third (common practice, no
source)."""

CLIP_LEAST_STOPS = float(np.log2(WHITE_REFLECTANCE / 0.18)) - CARD_STOPS
"""The lowest clip that a camera can have for which a card at mid-grey is rightly exposed: it holds
a white chip in the same light (common practice, no source)."""

SURE_HALF_WIDTHS = 2.0
"""Half widths at 95 % of a reading, beyond its bounds, at which a hypothesis is given up: four
deviations, one in 16 000."""

SLACK_CODES = 0.1
"""Codes besides: below it lies the arithmetic of a mean of some thousand rounded codes."""

NOISE_AT_BLACK = 0.5
"""Deviations by which a mean may be raised where a camera cuts noise off at black: the mean of the
upper half of a normal distribution is 0.40 of one (arithmetic)."""


COLOUR_SHARE = 0.10
"""By how much each of R, G, B of any patch may be off, in shares of the largest, by the camera's
own colours and by the patch (common practice, no source). Nothing is asked of their mean: what a
camera makes of all colours alike, as a stronger saturation, looks much like another matrix."""


@dataclass(frozen=True, slots=True)
class Tolerances:
    """What the person may know better.

    Attributes
    ----------
    card_stops:
        How far the card may lie from mid-grey, to either side: by what it is and how it is exposed.
    colour_share:
        By how much R, G, B of a saturated patch may be off, in shares of the largest.
    """

    card_stops: float = CARD_STOPS
    colour_share: float = COLOUR_SHARE
