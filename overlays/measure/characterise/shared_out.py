"""How samples of light with noise are shared out over codes, behind a curve and in luma.

Luma of a grey is a weighed sum of three channels, each with noise of its own before the curve. Its
distribution is that of a sum, of which the characteristic function is the product of the parts'
(Cramer, Mathematical Methods of Statistics, 1946, 15.12); a code holds what lies within half a code
of it, so that this is taken times sin(t/2) / (t/2), and back by a sum over frequencies.

Noise of each step has a deviation of its own, and may be a little lopsided, and have longer or
shorter tails than a normal one: a series as that of Gram and Charlier (Cramer 1946, 17.6), of the
third and fourth derivative of a normal curve that is `NARROW`. These add the same moments as those
of the curve itself do, and of what is `MOST_SHAPED` no share is less than none.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from overlays.measure.feedcheck.readings import Tally
from overlays.signal.levels import FloatArray

ComplexArray = NDArray[np.complex128]

NARROW = 0.6**0.5
"""Deviations."""
MOST_SHAPED = 0.4
"""Third moment and excess up to which the series stands for a distribution."""

WAVES = 2
"""To a bin: of a curve that is steep at black fewer leave ripples of a hundred thousandth."""

MARGIN = 12
"""Bins on either side of what is there, so that what comes round (the sum is periodic) is nothing.
"""

_FAR = 12.0
"""Deviations to which the normal curve is laid out."""


@dataclass(frozen=True, slots=True, eq=False)
class Binned:
    """Samples of steps, so many codes of theirs to a bin.

    Attributes
    ----------
    counts:
        (steps, bins), the lowest bin with what lies below it too where codes end there.
    worth:
        (steps,) independent samples that one counts for, 1 at most.
    first, width:
        Code in the middle of bin 0, and codes to a bin; both in codes of the signal.
    lowest:
        Bin that holds all that lies below it too; 0 where none does.
    """

    counts: FloatArray
    worth: FloatArray
    first: float
    width: float
    lowest: int


def binned(tallies: Sequence[Tally], step: int, lowest: int, width: int) -> Binned:
    """Samples of steps in bins.

    Parameters
    ----------
    tallies:
        Of each step.
    step:
        Codes from one in use to the next.
    lowest:
        Code that holds all that lies below it too.
    width:
        Codes in use to a bin.

    Returns
    -------
    Binned
        Of a power of two of bins.

    Examples
    --------
    >>> tally = Tally(first=419, counts=(100, 600, 300), independent=500.0)
    >>> found = binned([tally], step=1, lowest=4, width=1)
    >>> found.counts[0, 12:15].tolist(), found.worth.tolist(), found.first
    ([100.0, 600.0, 300.0], [0.5], 407.0)
    """
    low = min(tally.first // step for tally in tallies)
    long = [len(tally.counts[::step]) for tally in tallies]
    high = max(tally.first // step + each for tally, each in zip(tallies, long, strict=True))
    end = lowest // step
    # Of what is cut off half and more is seen, so that as much lies below.
    unseen = max(long) // width if low <= end else 0
    # The lowest code is the last of its bin: all of that lies at it or below.
    start = end + 1 - width * (-(-(end + 1 - low) // width) + MARGIN + unseen)
    bins = 2 ** math.ceil(math.log2((high - start) / width + MARGIN))
    counts = np.zeros((len(tallies), bins))
    for row, tally in zip(counts, tallies, strict=True):
        used = np.array(tally.counts[::step], np.float64)
        np.add.at(row, (tally.first // step - start + np.arange(len(used))) // width, used)
    total = counts.sum(axis=1)
    worth = np.minimum([each.independent for each in tallies] / total, 1.0)
    middle = step * (start + 0.5 * (width - 1))
    return Binned(counts, worth, middle, float(step * width), max((end - start) // width, 0))


def masses(
    edges: FloatArray, light: FloatArray, noise: FloatArray
) -> tuple[FloatArray, tuple[FloatArray, FloatArray, FloatArray]]:
    """Shares of a channel's samples by cells of light, and how noise moves them.

    Parameters
    ----------
    edges, light:
        (cells + 1,) light between cells, and (steps,) of each step.
    noise:
        (steps, 3): logarithm of its deviation in light, third moment over the third power of that,
        and excess.

    Returns
    -------
    tuple
        (cells, steps), and three of these.

    Examples
    --------
    >>> edges, light = np.array([-9.0, -1.0, 1.0, 9.0]), np.zeros(1)
    >>> shares, _ = masses(edges, light, np.zeros((1, 3)))
    >>> shares[:, 0].round(4).tolist()
    [0.1587, 0.6827, 0.1587]
    """
    z = np.clip((edges[:, None] - light) / np.exp(noise[:, 0]), -_FAR, _FAR)
    height, narrow, u = _height(z), _height(z / NARROW) / NARROW, z / NARROW
    third, excess = noise[:, 1] / 6.0, noise[:, 2] / 24.0
    lopsided = narrow * (u**2 - 1.0) / NARROW**2
    tailed = narrow * (u**3 - 3.0 * u) / NARROW**3
    below = np.interp(z, *_normal()) - third * lopsided - excess * tailed
    density = height + third * tailed
    density += excess * narrow * (u**4 - 6.0 * u**2 + 3.0) / NARROW**4
    by_size, by_third, by_excess = (
        np.diff(each, axis=0) for each in (-z * density, -lopsided / 6.0, -tailed / 24.0)
    )
    return np.diff(below, axis=0), (by_size, by_third, by_excess)


@cache
def _normal() -> tuple[FloatArray, FloatArray]:
    """Deviations, and the share of a normal curve that lies below each: laid out when asked for."""
    z = np.linspace(-_FAR, _FAR, 24_001)
    return z, np.array([0.5 * math.erfc(-each / math.sqrt(2.0)) for each in z])


def _height(z: FloatArray) -> FloatArray:
    return np.asarray(np.exp(-0.5 * z**2) / np.sqrt(2.0 * np.pi))


class Luma:
    """From cells of light to bins of luma.

    Parameters
    ----------
    bins:
        Of what was seen.
    weights:
        Of channels that have noise each for itself; (1,) where they share it.

    Examples
    --------
    >>> edges = np.linspace(-8.0, 8.0, 641)
    >>> cells, _ = masses(edges, np.zeros(1), np.zeros((1, 3)))
    >>> bins = binned([Tally(416, (1,) * 9, 9.0)], step=1, lowest=4, width=1)
    >>> two_codes = edges[1:] + edges[:-1]  # to each deviation of noise
    >>> shares, _, _ = Luma(bins, np.ones(1)).shares(two_codes, 420.0, cells)
    >>> round(float(shares[0, round(420 - bins.first)]), 3)  # a quarter deviation on either side
    0.197
    """

    def __init__(self, bins: Binned, weights: FloatArray) -> None:
        """Frequencies, and what takes them back to bins."""
        count = bins.counts.shape[1]
        order = np.arange(WAVES * count + 1)
        self._bins, self._weights = bins, weights / bins.width
        self._at = 2.0 * np.pi * order / count
        each = np.where(order == 0, 1.0, 2.0) / count * np.sinc(order / count)
        self._each = each[:, None]

    def shares(
        self, above: FloatArray, black: float, cells: FloatArray
    ) -> tuple[FloatArray, list[FloatArray], list[ComplexArray]]:
        """Shares of samples by bins, and what `moved` needs of that.

        Parameters
        ----------
        above, black:
            (cells,) codes above black, and its code.
        cells:
            (cells, steps) shares of a channel's samples.

        Returns
        -------
        tuple
            (steps, bins), and the functions of waves and of channels.
        """
        waves = []
        for weight in self._weights:
            wave = _turned(2.0 * np.pi / self._bins.counts.shape[1] * weight * above, len(self._at))
            waves.append(np.concatenate([wave.real, wave.imag]))
        parts = [
            _complex(wave @ cells, np.empty((len(self._at), cells.shape[1]), np.complex128))
            for wave in waves
        ]
        away = (black - self._bins.first) / self._bins.width
        parts.append(np.exp(1j * self._at * away)[:, None] * np.ones((1, cells.shape[1])))
        whole = np.prod(parts, axis=0)
        return self._folded(self._taken_back(whole)), waves, parts

    def moved(
        self,
        waves: list[FloatArray],
        parts: list[ComplexArray],
        cells: FloatArray,
        slopes: FloatArray,
        by_noise: Sequence[FloatArray],
        black: int,
    ) -> tuple[FloatArray, FloatArray]:
        """By how much shares move.

        Parameters
        ----------
        waves, parts, cells:
            As `shares` gives and takes them.
        slopes, by_noise:
            (cells, p) by how much what is open moves codes, and (cells, steps) by how much each of
            what is open of noise moves shares.
        black:
            Which of p moves all codes alike.

        Returns
        -------
        tuple of ndarray
            (steps, p, bins) and (steps, 3, bins).
        """
        each = len(self._at), cells.shape[1]
        curve = np.zeros((slopes.shape[1], *each), np.complex128)
        noise = np.zeros((len(by_noise), *each), np.complex128)
        # A level moves the few cells about its node, black none of its own.
        near = [np.flatnonzero(slope) for slope in slopes.T]
        by_slope = [cells[at] * slope[at, None] for at, slope in zip(near, slopes.T, strict=True)]
        moved, made, by = np.empty((2 * each[0], each[1])), np.empty_like(noise[0]), noise[0].copy()
        for place, (weight, wave) in enumerate(zip(self._weights, waves, strict=True)):
            others = np.prod(parts[:place] + parts[place + 1 :], axis=0)
            turned = (1j * self._at * weight)[:, None] * others
            for number, at in enumerate(near):
                if at.size:
                    np.matmul(wave[:, at], by_slope[number], out=moved)
                    curve[number] += np.multiply(turned, _complex(moved, made), out=by)
            for number, shape in enumerate(by_noise):
                np.matmul(wave, shape, out=moved)
                noise[number] += np.multiply(others, _complex(moved, made), out=by)
        curve[black] = (1j * self._at / self._bins.width)[:, None] * np.prod(parts, axis=0)
        return self._in_bins(curve), self._in_bins(noise)

    def _in_bins(self, waves: ComplexArray) -> FloatArray:
        """(steps, p, bins) of (p, frequencies, steps)."""
        return self._folded(self._taken_back(waves.transpose(1, 2, 0)))

    def _taken_back(self, waves: ComplexArray) -> FloatArray:
        """(..., bins) of (frequencies, ...)."""
        count, flat = self._bins.counts.shape[1], waves.reshape(len(self._at), -1) * self._each
        same = np.zeros((count, flat.shape[1]), np.complex128)
        for turns in range(0, len(flat), count):  # whole turns from bin to bin show in none
            part = flat[turns : turns + count]
            same[: len(part)] += part
        found = np.fft.fft(same, axis=0).real.T
        return np.asarray(found.reshape(*waves.shape[1:], -1))

    def _folded(self, shares: FloatArray) -> FloatArray:
        """The lowest bin with all that lies below it."""
        lowest = self._bins.lowest
        shares[..., lowest] = shares[..., : lowest + 1].sum(axis=-1)
        shares[..., :lowest] = 0.0
        return shares


def _turned(angles: FloatArray, count: int) -> ComplexArray:
    """(count, cells) exp(i n angle), n from 0: a product of two, quicker than all their sines."""
    each = math.isqrt(count) + 1
    few, many = (np.exp(1j * np.outer(np.arange(each) * by, angles)) for by in (1, each))
    return np.asarray((many[:, None] * few).reshape(each**2, -1)[:count])


def _complex(stacked: FloatArray, out: ComplexArray) -> ComplexArray:
    """Of real parts on imaginary ones."""
    half = len(stacked) // 2
    out.real, out.imag = stacked[:half], stacked[half:]
    return out
