"""What the spot finds."""

from dataclasses import dataclass

from firmware.answers.origin import (
    Origin,
)
from firmware.instruments.scene import Truth
from overlays.measure.counting.bands import Band
from overlays.measure.range.range_reading import RangeReading
from overlays.measure.spot.spot import SpotReading


@dataclass(frozen=True, slots=True, eq=False)
class SpotAnswer:
    """Everything that is said of one frame.

    Attributes
    ----------
    origin:
        Of the frame.
    spots, truths:
        Readings in the order asked for, and what each truly is where the feed knows.
    range:
        The frame's extremes; None where they could not be found.
    band, in_band:
        The profile's first band around a level, and the share of the picture in it, 0 to 1.
    warnings:
        Of feed, profile and frame; those of a spot are with it.
    """

    origin: Origin
    spots: tuple[SpotReading, ...]
    truths: tuple[Truth | None, ...]
    range: RangeReading | None
    band: Band | None
    in_band: float | None
    warnings: tuple[str, ...]
