"""What three chips say, in sentences: what to do about them, or why that cannot be told."""

from overlays.measure.chips.chip_causes import Cause, Explanation
from overlays.measure.chips.three_chip import ChipReading, ChipVerdict
from overlays.wording.reasons import Reason


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
    >>> from overlays.measure.chips.three_chip import Chip, read_chips, usual_targets
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.curves import Family
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
        doubted = (chip for chip in verdict.chips if chip.in_tolerance is None)
        return verdict.warnings or tuple(_doubt(chip) for chip in doubted)
    first, *others = verdict.explanations
    out = [advice_of(first)]
    likely = [each for each in others if each.effort < 2.0 * first.effort][:2]
    return (*out, *(f"it may also be this: {advice_of(each)}" for each in likely))


def _doubt(chip: ChipReading) -> str:
    """Why nobody can tell whether a chip is off."""
    name = chip.chip.value
    if chip.off is None or chip.off_pm is None:
        why = (chip.spot.unknown or Reason.NOT_READ).words
        return f"whether the {name} chip is off cannot be told: it is {why}"
    if abs(chip.off) > chip.target.within.number:
        return f"the {name} chip is off, within what its ± allows for"
    return f"whether the {name} chip is off cannot be told: its ± reaches out of tolerance"
