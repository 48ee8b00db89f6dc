"""Three chips at once: white, grey and glossy black against their targets, and what explains them.

A camera has three levers for three chips: exposure multiplies all light, black level lifts the
dark end of the signal, contrast bends its middle. A reflection adds light to the glossy chip alone.
Each cause leaves its own pattern on the three, so that readings with a known ± can tell them apart,
as long as they lie further from their targets than tolerance and ± together.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np

from overlays.measure.chips.chip_causes import Case, Cause, Explanation, explain
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import CLIPPED_SHARE, SpotReading
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

    What is only a bound has no ±.

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

    @property
    def in_tolerance(self) -> bool | None:
        """Whether it lies within its tolerance; None where it cannot be read or told.

        A chip that is clipped, or may be, may be further above than it reads, one that is cut off
        further below.
        """
        if self.off is None:
            return None
        is_within = abs(self.off) <= self.target.within.number
        is_doubted = self.spot.unknown is Reason.PERHAPS_CLIPPED
        bound = Bound.AT_LEAST if is_doubted else self.bound
        if bound is None:
            return is_within
        is_beyond = self.off > 0.0 if bound is Bound.AT_LEAST else self.off < 0.0
        return False if is_beyond and not is_within else None

    @property
    def bound(self) -> Bound | None:
        """Whether what it reads, and how far off that is, is no more than a bound."""
        return self.spot.bound


@dataclass(frozen=True, slots=True)
class ChipVerdict:
    """What three chips say.

    `explanations` holds the simplest that fit, best first; more than one means that the readings
    cannot tell them apart. Empty where all is in tolerance, where a chip cannot be read, or where
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
    def in_tolerance(self) -> bool:
        """Whether every chip lies within its tolerance."""
        return all(chip.in_tolerance for chip in self.chips)


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
    chips = tuple(_against(chip, spots[chip], targets[chip]) for chip in Chip)
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
    if warnings or verdict.in_tolerance:
        return ChipVerdict(verdict.chips, (), tuple(warnings))
    found = explain(_case(verdict.chips, yard))
    if not found:
        warnings.append(
            "no single cause and no pair explains all three: set exposure by the grey chip, then "
            "read again"
        )
    return ChipVerdict(verdict.chips, found, tuple(warnings))


def _against(chip: Chip, spot: SpotReading, target: ChipTarget) -> ChipReading:
    if target.at.unit is Unit.PERCENT:
        off: float | None = spot.percent - target.at.number
    else:
        off = None if spot.stops is None else spot.stops - target.at.number
    pm = _pm(spot, target) if spot.bound is None else None
    return ChipReading(chip, spot, target, off, pm)


def _pm(spot: SpotReading, target: ChipTarget) -> float | None:
    """Half width of what a chip reads, in its target's unit."""
    return spot.percent_pm if target.at.unit is Unit.PERCENT else spot.stops_pm


def _confused(spots: Mapping[Chip, SpotReading]) -> list[str]:
    white, grey, black = (spots[chip].luminance for chip in Chip)
    if white > grey > black:
        return []
    return ["white, grey and black do not follow each other in brightness: check the three spots"]


def _case(chips: tuple[ChipReading, ...], yard: Yardstick) -> Case:
    """Levels where the chips belong and where they are; a colour cast is read as its light."""
    carried = yard.carried
    wanted, seen, slack = [], [], []
    for chip in chips:
        level = chip.target.at.percent(carried) / 100.0
        wanted.append(level)
        # A cause explains a chip that it leaves within tolerance and ±.
        allowed = chip.target.within.number + (_pm(chip.spot, chip.target) or 0.0)
        if chip.target.at.unit is Unit.PERCENT:
            seen.append(chip.spot.percent / 100.0)
            slack.append(allowed / 100.0)
        else:
            seen.append(carried.nominal(chip.spot.luminance))
            higher = carried.nominal(carried.light(level) * 2.0**allowed)
            slack.append(max(higher - level, 1e-5))
    return Case(np.array(wanted), np.array(seen), np.array(slack), carried)


def advice_of(explanation: Explanation) -> str:
    """What to do about an explanation, in one sentence.

    Parameters
    ----------
    explanation:
        From a verdict.

    Returns
    -------
    str
        One move for each cause, joined by "; then".

    Examples
    --------
    >>> advice_of(Explanation((Cause.EXPOSURE,), (0.5,), misfit=0.2, effort=3.0))
    'close the lens by 0.50 st'
    """
    parts = []
    for cause, amount in zip(explanation.causes, explanation.amounts, strict=True):
        if cause is Cause.EXPOSURE:
            parts.append(f"{'close' if amount > 0 else 'open'} the lens by {abs(amount):.2f} st")
        elif cause is Cause.BLACK_LEVEL:
            parts.append(
                f"bring black level {'down' if amount > 0 else 'up'} by {abs(amount):.1f} %"
            )
        elif cause is Cause.CONTRAST:
            way = "too bright: bring the middle down" if amount < 1 else "too dark: bring it up"
            parts.append(f"the middle is bent {way} (contrast or gamma, power {amount:.2f})")
        else:
            parts.append(
                f"a reflection lifts the black chip by {amount:.1f} %: tilt it or shade it until "
                "it stays down"
            )
    return "; then ".join(parts)


def chip_words(verdict: ChipVerdict) -> tuple[str, ...]:
    """The verdict in sentences, the first the one to act on.

    Parameters
    ----------
    verdict:
        From `read_chips`.

    Returns
    -------
    tuple[str, ...]
        At least one sentence, without a full stop.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[866, 414, 82]], cell=16)  # 91.5, 40 and 2 %
    >>> places = (SpotPlace(column, 8, 8) for column in (8, 24, 40))
    >>> spots = {c: read_spot(frame, VIDEO, place) for c, place in zip(Chip, places, strict=True)}
    >>> chip_words(read_chips(spots, usual_targets(Family.STANDARD), VIDEO))
    ('all three chips are where they belong',)
    """
    if verdict.in_tolerance:
        return ("all three chips are where they belong",)
    if not verdict.explanations:
        return verdict.warnings or ("a chip is off, within what its ± allows for",)
    first, *others = verdict.explanations
    out = [advice_of(first)]
    likely = [each for each in others if each.effort < 2.0 * first.effort][:2]
    return (*out, *(f"it may also be this: {advice_of(each)}" for each in likely))
