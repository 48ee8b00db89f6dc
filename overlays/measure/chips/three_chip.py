"""Three chips at once: white, grey and glossy black against their targets, and what explains them.

A camera has three levers for three chips: exposure multiplies all light, black level lifts the
dark end of the signal, contrast bends its middle. A reflection adds light to the glossy chip alone.
Each cause leaves its own pattern on the three, so that readings with a known ± can tell them apart,
as long as they lie further from their targets than tolerance and ± together.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np

from overlays.measure.chips.chip_causes import Case, Explanation, explain
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import CLIPPED_SHARE, SpotReading
from overlays.signal.carried import CarriedCurve
from overlays.signal.curves import Family
from overlays.signal.quantities import Level, Unit, percent, stops
from overlays.wording.reasons import Bound, Reason


class Chip(Enum):
    """The chips, in the order they are asked for."""

    WHITE = "white"
    GREY = "grey"
    BLACK = "black"


@dataclass(frozen=True, slots=True)
class ChipTarget:
    """Where a chip belongs, and how far off it may be, in the same unit."""

    at: Level
    within: Level


ChipTargets = Mapping[Chip, ChipTarget]

_PERHAPS_MORE = (Reason.PARTLY_CLIPPED, Reason.PERHAPS_CLIPPED)
"""Why a chip may be brighter than it reads though not so much of it is clipped."""

# Common practice, no source: facts of the trade; the tolerances are ours.
_STANDARD: ChipTargets = {
    Chip.WHITE: ChipTarget(percent(91.5), percent(2.0)),
    Chip.GREY: ChipTarget(percent(40.0), percent(2.0)),
    Chip.BLACK: ChipTarget(percent(2.0), percent(1.5)),
}
_LOG: ChipTargets = {
    Chip.WHITE: ChipTarget(stops(2.1), stops(0.2)),
    Chip.GREY: ChipTarget(stops(0.0), stops(0.2)),
    Chip.BLACK: ChipTarget(stops(-6.85), stops(0.6)),
}


def usual_targets(family: Family) -> ChipTargets:
    """Targets where a profile gives none (common practice, no source).

    Parameters
    ----------
    family:
        Of the profile's curve; HDR curves share the targets of log.

    Returns
    -------
    ChipTargets
        In percent for standard gamma, in stops else.

    Examples
    --------
    >>> usual_targets(Family.LOG)[Chip.GREY].at.number
    0.0
    """
    return _STANDARD if family is Family.STANDARD else _LOG


@dataclass(frozen=True, slots=True)
class ChipReading:
    """One chip against its target; `off` and its ± are in the target's unit.

    What is only a bound has no ±. What may be no light at all, and so has no ± in stops, may still
    be no more than `off_most`.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> spot = read_spot(grey_frame([[414]], cell=16), VIDEO, SpotPlace(8, 8, 8))
    >>> target = ChipTarget(percent(40.0), percent(2.0))
    >>> [ChipReading(Chip.GREY, spot, target, off, 0.1).in_tolerance for off in (0.5, 3.0)]
    [True, False]
    """

    chip: Chip
    spot: SpotReading
    target: ChipTarget
    off: float | None
    off_pm: float | None
    off_most: float | None = None

    @property
    def in_tolerance(self) -> bool | None:
        """Whether it lies within its tolerance; None where it cannot be read or told.

        It is told only where all that it may be lies on one side of the tolerance's edge.
        """
        if self.reach is None:
            return None
        (least, most), within = self.reach, self.target.within.number
        if -within <= least and most <= within:
            return True
        return False if least > within or most < -within else None

    @property
    def reach(self) -> tuple[float, float] | None:
        """The least and the most that it may be off; None where it is not read.

        A chip that is clipped, or may be, may be further above than it reads, one that is cut off
        further below, and so may one that may be no light at all.
        """
        if self.off is None:
            return None
        if self.bound is Bound.AT_LEAST or self.spot.unknown in _PERHAPS_MORE:
            return self.off, math.inf
        if self.bound is Bound.AT_MOST:
            return -math.inf, self.off
        if self.off_pm is None:
            return -math.inf, math.inf if self.off_most is None else self.off_most
        return self.off - self.off_pm, self.off + self.off_pm

    @property
    def bound(self) -> Bound | None:
        """Whether what it reads, and how far off that is, is no more than a bound."""
        return self.spot.bound


@dataclass(frozen=True, slots=True)
class ChipVerdict:
    """What three chips say.

    `explanations` holds the simplest that fit, best first; more than one means that the readings
    cannot tell them apart. Empty where no chip is surely off, where a chip cannot be read, or where
    nothing simple fits.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[866, 414, 82]], cell=16)  # 91.5, 40 and 2 %
    >>> places = (SpotPlace(column, 8, 8) for column in (8, 24, 40))
    >>> spots = {c: read_spot(frame, VIDEO, place) for c, place in zip(Chip, places, strict=True)}
    >>> read_chips(spots, usual_targets(Family.STANDARD), VIDEO).in_tolerance
    True
    """

    chips: tuple[ChipReading, ChipReading, ChipReading]
    explanations: tuple[Explanation, ...]
    warnings: tuple[str, ...]

    @property
    def in_tolerance(self) -> bool | None:
        """Whether every chip lies within its tolerance; None where none is off but one not told."""
        told = {chip.in_tolerance for chip in self.chips}
        if False in told:
            return False
        return None if None in told else True

    @property
    def is_alarming(self) -> bool:
        """Whether a hand is needed: a chip is off, or something keeps it from being judged."""
        return self.in_tolerance is False or bool(self.warnings)


def read_chips(
    spots: Mapping[Chip, SpotReading], targets: ChipTargets, yard: Yardstick
) -> ChipVerdict:
    """Judge white, grey and black together.

    Parameters
    ----------
    spots:
        A reading of each of the three chips.
    targets:
        Where each belongs.
    yard:
        What they were read with.

    Returns
    -------
    ChipVerdict
        With warnings instead of explanations where a chip cannot be judged.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[906, 454, 122]], cell=16)  # all three 4.6 % too high
    >>> places = (SpotPlace(column, 8, 8) for column in (8, 24, 40))
    >>> spots = {c: read_spot(frame, VIDEO, place) for c, place in zip(Chip, places, strict=True)}
    >>> verdict = read_chips(spots, usual_targets(Family.STANDARD), VIDEO)
    >>> [round(chip.off, 1) for chip in verdict.chips]
    [4.6, 4.5, 4.6]
    """
    chips = tuple(_against(chip, spots[chip], targets[chip], yard) for chip in Chip)
    verdict = ChipVerdict((chips[0], chips[1], chips[2]), (), ())
    warnings = [f"the {c.chip.value} chip has no reading in stops" for c in chips if c.off is None]
    warnings += _confused(spots)
    if any(spot.clipped > CLIPPED_SHARE for spot in spots.values()):
        warnings.append("a chip is clipped: bring exposure down before judging anything else")
    elif doubted := [c.value for c in Chip if spots[c].unknown is Reason.PERHAPS_CLIPPED]:
        warnings.append(
            f"the {doubted[0]} chip is {Reason.PERHAPS_CLIPPED.words}; bring exposure down and see "
            "whether it follows"
        )
    if warnings or verdict.in_tolerance is not False:
        return ChipVerdict(verdict.chips, (), tuple(warnings))
    found = explain(_case(verdict.chips, yard))
    if not found:
        warnings.append(
            "no single cause and no pair explains all three: set exposure by the grey chip, then "
            "read again"
        )
    return ChipVerdict(verdict.chips, found, tuple(warnings))


def _against(chip: Chip, spot: SpotReading, target: ChipTarget, yard: Yardstick) -> ChipReading:
    if target.at.unit is Unit.PERCENT:
        off, pm = spot.percent - target.at.number, spot.percent_pm
        return ChipReading(chip, spot, target, off, None if spot.bound else pm)
    if spot.stops is None:
        return ChipReading(chip, spot, target, None, None)
    most, off = None, spot.stops - target.at.number
    if spot.unknown is Reason.DOWN_TO_NO_LIGHT:
        # Light has an upper end also where its lower one has no logarithm.
        most = off + math.log2(1.0 + spot.errors.pm(yard.weights) / spot.luminance)
    return ChipReading(chip, spot, target, off, None if spot.bound else spot.stops_pm, most)


def _confused(spots: Mapping[Chip, SpotReading]) -> list[str]:
    white, grey, black = (spots[chip].luminance for chip in Chip)
    if white > grey > black:
        return []
    return ["white, grey and black do not follow each other in brightness: check the three spots"]


def _case(chips: tuple[ChipReading, ...], yard: Yardstick) -> Case:
    """Levels where the chips belong and where they are; a colour cast is read as its light."""
    carried = yard.carried
    wanted, seen, below, above = [], [], [], []
    for chip in chips:
        level = chip.target.at.percent(carried) / 100.0
        wanted.append(level)
        if chip.target.at.unit is Unit.PERCENT:
            seen.append(chip.spot.percent / 100.0)
        else:
            seen.append(carried.nominal(chip.spot.luminance))
        # A cause explains a chip that it leaves within tolerance and ±.
        assert chip.reach is not None  # `read_chips` explains nothing where a chip is not read
        assert chip.off is not None  # the same
        within = chip.target.within
        below.append(_slack(level, within, chip.off - chip.reach[0], carried))
        above.append(_slack(level, within, chip.reach[1] - chip.off, carried))
    return Case(np.array(wanted), np.array(seen), np.array(above), carried, np.array(below))


def _slack(level: float, within: Level, wide: float, carried: CarriedCurve) -> float:
    """Tolerance and ± in nominal levels; without end where there is no ±."""
    if math.isinf(wide):
        return math.inf
    allowed = within.number + wide
    if within.unit is Unit.PERCENT:
        return allowed / 100.0
    return max(float(carried.nominal(carried.light(level) * 2.0**allowed)) - level, 1e-5)
