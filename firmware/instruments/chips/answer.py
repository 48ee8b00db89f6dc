"""What three chips say."""

from dataclasses import dataclass

from firmware.answers.origin import Origin
from overlays.draw.moment.layers import PinFlags
from overlays.measure.chips.three_chip import ChipReading, ChipVerdict
from overlays.signal.quantities import Unit


@dataclass(frozen=True, slots=True, eq=False)
class ChipsAnswer:
    """Three chips.

    Attributes
    ----------
    origin:
        Of the frame.
    verdict:
        What they say together; None where there are not three pins to read them at.
    flags:
        The pins as they are drawn.
    """

    origin: Origin
    verdict: ChipVerdict | None
    flags: PinFlags


def unit_of(chip: ChipReading) -> str:
    """The unit its target is given in."""
    return "%" if chip.target.at.unit is Unit.PERCENT else "st"
