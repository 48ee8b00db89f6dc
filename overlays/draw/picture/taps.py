"""How many source samples go into one drawn pixel, and with what whole-number weights.

Reducing averages over the area a drawn pixel covers, so that nothing shimmers; enlarging draws
straight lines between samples. Weights are whole numbers with one sum for all pixels: exact where
the ratio is a small one (3:2, 2:1, 15:7), else the nearest in steps of one part in the sum.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import gcd

import numpy as np
import numpy.typing as npt

Weights = npt.NDArray[np.int16]
Starts = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Taps:
    """Pixel `i` is ``sum_k weights[i, k] * source[start[i] + k] / total``.

    Attributes
    ----------
    start:
        First sample of each drawn pixel, (drawn,) int64.
    weights:
        (drawn, taps) int16, each row's sum is `total`.
    total:
        The sum.
    """

    start: Starts
    weights: Weights
    total: int


def exact_total(source: int, drawn: int) -> int | None:
    """The smallest sum with which the weights are exact, or None where the picture is enlarged."""
    return source // gcd(source, drawn) if source >= drawn else None


@lru_cache(maxsize=64)
def taps(source: int, drawn: int, total: int) -> Taps:
    """Weights of the sum `total` that carry `source` samples to `drawn` pixels; kept, so shared."""
    shares = _reducing if source >= drawn else _enlarging
    pairs = []
    for index in range(drawn):
        first, parts = shares(index, source, drawn)
        pairs.append((first, _whole(parts, total)))
    return _packed(pairs, source, total)


def folded(luma: Taps, samples: int, columns_per_sample: int) -> Taps:
    """The same for a plane that has one sample for `columns_per_sample` of luma, each repeated."""
    if columns_per_sample == 1:
        return luma
    pairs: list[tuple[int, list[int]]] = []
    for start, weights in zip(luma.start.tolist(), luma.weights.tolist(), strict=True):
        first = start // columns_per_sample
        last = (start + len(weights) - 1) // columns_per_sample
        sums = [0] * (last - first + 1)
        for offset, weight in enumerate(weights):
            sums[(start + offset) // columns_per_sample - first] += weight
        pairs.append((first, sums))
    return _packed(pairs, samples, luma.total)


def _reducing(index: int, source: int, drawn: int) -> tuple[int, list[int]]:
    """First sample and parts (their sum is `source`) of the stretch one drawn pixel covers."""
    low, high = index * source, (index + 1) * source
    first, last = low // drawn, -(-high // drawn)
    parts = [min(high, (s + 1) * drawn) - max(low, s * drawn) for s in range(first, last)]
    return first, parts


def _enlarging(index: int, source: int, drawn: int) -> tuple[int, list[int]]:
    """First sample and parts (their sum is ``2 drawn``) of the line through two neighbours."""
    unit = 2 * drawn
    centre = min(max((2 * index + 1) * source - drawn, 0), (source - 1) * unit)
    first, beyond = divmod(centre, unit)
    return (first, [unit - beyond, beyond]) if beyond else (first, [unit])


def _whole(parts: list[int], total: int) -> list[int]:
    """Whole numbers in proportion to the parts with exactly that sum (largest remainders first)."""
    unit = sum(parts)
    split = [divmod(part * total, unit) for part in parts]
    whole = [number for number, _ in split]
    order = sorted(range(len(parts)), key=lambda at: -split[at][1])
    for at in order[: total - sum(whole)]:
        whole[at] += 1
    return whole


def _packed(pairs: list[tuple[int, list[int]]], source: int, total: int) -> Taps:
    width = max(len(weights) for _, weights in pairs)
    start = np.zeros(len(pairs), np.int64)
    table = np.zeros((len(pairs), width), np.int16)
    for row, (first, weights) in enumerate(pairs):
        # Every pixel reads `width` samples: near the end the window moves back inside the picture.
        start[row] = min(first, source - width)
        shift = first - int(start[row])
        table[row, shift : shift + len(weights)] = weights
    return Taps(start, table, total)


SMALL_RATIOS = {(1, 1): 11, (2, 1): 21, (3, 2): 32, (5, 2): 52, (3, 1): 31, (4, 1): 41}
"""Ratios of width that have a loop of their own, and the number it is called by."""

MOST_DOUBLED = 2
"""Times that a row is doubled before one of these loops: 4x is the largest that is magnified."""


def width_loop(columns: int, drawn: int, samples: int) -> tuple[int, int, int]:
    """The loop that brings rows to a width, if one of its own fits.

    Parameters
    ----------
    columns, drawn:
        Of the source and of the drawing.
    samples:
        Columns of luma for each sample of chroma.

    Returns
    -------
    tuple[int, int, int]
        Its number, the sum of its weights, and how often rows are doubled before: 0 where the
        source is not the narrower one. (0, 1, 0) where none fits.
    """
    for times in range(MOST_DOUBLED + 1 if columns < drawn else 1):
        wide = columns << times
        for (source, out), number in SMALL_RATIOS.items():
            period = source * (2 if samples == 2 and source % 2 else 1)
            whole = wide % period == 0 and drawn % samples == 0
            if wide * out == drawn * source and whole:
                return number, source, times
    return 0, 1, 0
