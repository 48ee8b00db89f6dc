"""What pins and an area say."""

from collections.abc import Mapping
from dataclasses import dataclass

from firmware.answers.origin import Origin
from overlays.draw.moment.layers import PinFlags
from overlays.errors import OverlayError
from overlays.measure.pins.lighting import Evenness, Ratio, all_ratios
from overlays.measure.spot.spot import SpotReading


@dataclass(frozen=True, slots=True, eq=False)
class EvennessAnswer:
    """How even an area is lit.

    Attributes
    ----------
    of:
        What the area is, in words.
    even:
        The reading; None where there is none, and then `fault` says why.
    is_spanned:
        Whether two pins span the area; else it is the spot's.
    most:
        Pixels each way that were read in the middle of each cell; None where all of it was.
    """

    of: str
    even: Evenness | None
    fault: OverlayError | None = None
    is_spanned: bool = True
    most: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class PinsAnswer:
    """Pins, or an area, or both.

    Attributes
    ----------
    origin:
        Of the frame.
    spots, names:
        By the pins' numbers; none where only evenness is asked for.
    spot:
        Stands for the second pin where there is one alone; None where it cannot be read.
    evenness:
        None where it is not asked for.
    flags:
        The pins as they are drawn.
    """

    origin: Origin
    spots: Mapping[int, SpotReading]
    names: Mapping[int, str]
    spot: SpotReading | None
    evenness: EvennessAnswer | None
    flags: PinFlags

    @property
    def ratios(self) -> dict[tuple[int, int], Ratio | None]:
        """Of each two pins."""
        return all_ratios(dict(self.spots))


def warnings_of(answer: PinsAnswer) -> tuple[str, ...]:
    """Of the frame, the area and each pin."""
    even = None if answer.evenness is None else answer.evenness.even
    out = [*answer.origin.warnings, *(() if even is None else even.warnings)]
    out += [f"pin {n}: {each}" for n, spot in answer.spots.items() for each in spot.warnings]
    return tuple(dict.fromkeys(out))
