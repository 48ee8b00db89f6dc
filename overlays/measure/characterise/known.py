"""Over which levels a curve is known to hundredths of a stop, and what ends that in the dark.

The floor by signal to noise says where light drowns in noise; it says nothing of how well the curve
is known there. A reading through it is as sure as the curve is, so both are told.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from overlays.signal.levels import FloatArray

KNOWN_STOPS = 0.03
"""Half width in stops up to which a curve counts as known: three hundredths, less than the tenth
that light meters and irises are read to (common practice, no source)."""


class KnownEnd(Enum):
    """What a curve is less known by below where it is known."""

    NONE = "none"
    """Nothing: it is known from the darkest step, or from the floor, on."""
    SAMPLES = "samples"
    """Too few samples against noise, or codes too coarse: more of them would help."""
    UNSEEN = "unseen"
    """Noise reaches below no light, and what is sent of that does not show: nothing would help."""
    CUT = "cut"
    """Black lies at the lowest code that is carried, or under it."""


@dataclass(frozen=True, slots=True)
class Known:
    """Where a curve is known.

    Attributes
    ----------
    from_stops, to_stops:
        Ends of the widest stretch of levels in which its ± is `KNOWN_STOPS` or less; None where
        there is none.
    end:
        What it is less known by below.
    """

    from_stops: float | None
    to_stops: float | None
    end: KnownEnd


def known_of(
    sure: Sequence[tuple[float, float]],
    read_pm: FloatArray,
    bent_pm: FloatArray,
    clip_stops: float,
    lowest_stops: float | None,
    is_sunk: bool,
) -> Known:
    """Where a curve is known.

    Parameters
    ----------
    sure:
        (stops, half width) of its steps, the darkest first.
    read_pm, bent_pm:
        (steps,) half widths of their codes, by what was read and by what noise below black leaves
        open.
    clip_stops:
        Where it gives out: above the last step it is as sure as there.
    lowest_stops:
        The floor; below it nothing is claimed. None where it is not known.
    is_sunk:
        Whether the cap lies on the lowest code.

    Returns
    -------
    Known
        From a step, or the floor, to a step or the clip.

    Examples
    --------
    >>> sure = [(-6.0, 0.2), (-5.0, 0.03), (0.0, 0.01)]
    >>> read, bent = np.array([0.2, 0.1, 0.1]), np.zeros(3)
    >>> known_of(sure, read, bent, clip_stops=4.0, lowest_stops=-7.0, is_sunk=False)
    Known(from_stops=-5.0, to_stops=4.0, end=<KnownEnd.SAMPLES: 'samples'>)
    """
    stops, half = np.array(sure).T
    first, last = _widest(half <= KNOWN_STOPS)
    if first == last:
        return Known(None, None, _end(read_pm, bent_pm, int(np.argmax(half)), is_sunk))
    low = float(stops[first])
    high = max(clip_stops, float(stops[-1])) if last == len(stops) else float(stops[last - 1])
    begins = low if lowest_stops is None else max(low, lowest_stops)
    is_whole = first == 0 or begins > low
    end = KnownEnd.NONE if is_whole else _end(read_pm, bent_pm, first - 1, is_sunk)
    return Known(begins, high, end) if begins < high else Known(None, None, end)


def _end(read_pm: FloatArray, bent_pm: FloatArray, place: int, is_sunk: bool) -> KnownEnd:
    if is_sunk:
        return KnownEnd.CUT
    return KnownEnd.UNSEEN if bent_pm[place] > read_pm[place] else KnownEnd.SAMPLES


def _widest(good: np.ndarray) -> tuple[int, int]:
    """First and one past the last of the longest run; the same where there is none."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], good.astype(np.int8), [0]])))
    runs = edges.reshape(-1, 2)
    if not len(runs):
        return 0, 0
    first, last = runs[np.argmax(runs[:, 1] - runs[:, 0])]
    return int(first), int(last)


def pm_at(stops: float, sure: Sequence[tuple[float, float]]) -> float:
    """How sure a level is: as the steps around it, and beyond them by as many codes as the last.

    Below the darkest step the curve is straight in light: a code is worth twice as much each stop.

    Parameters
    ----------
    stops:
        From mid-grey.
    sure:
        (stops, half width) of steps.

    Returns
    -------
    float
        95 % half width in stops.

    Examples
    --------
    >>> sure = [(-5.0, 0.03), (0.0, 0.01)]
    >>> round(pm_at(-2.5, sure), 3), round(pm_at(-6.0, sure), 3)
    (0.02, 0.06)
    """
    at, half = np.array(sorted(sure)).T
    darker = max(float(at[0]) - stops, 0.0)
    return float(np.interp(stops, at, half) * 2.0**darker)
