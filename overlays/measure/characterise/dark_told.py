"""Dark steps told by all of their samples at once, where these are as noise before a curve is.

At the floor of a curve that is steep there, noise moves the mean of codes by half a stop and more,
and by how much depends on the curve below the darkest step and below black. Means and third moments
leave that open; how samples are shared out over codes does not (`likeliest_end`).

It is taken only where the samples agree with it: noise that the codes dither, that came before the
curve, that channels have each for itself, of a camera that sends what is less than no light.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overlays.measure.characterise.below_black import LUMA
from overlays.measure.characterise.dark_end import FAR, DarkEnd, dark_end
from overlays.measure.characterise.likeliest_end import EndFound, EndSearch
from overlays.measure.characterise.own_codes import Z95
from overlays.measure.characterise.shared_out import binned
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.curves import stops_to_linear
from overlays.signal.levels import FloatArray

LIT = 5.0
"""Deviations of noise up to which light is dark: beyond, the curve bends little over noise."""
FEWEST = 6
"""Dark steps, the cap not counted, that tell a dark end."""
WIDE = 0.5
"""Stops from step to step up to which they hold each other."""

LEAST_NOISE, DITHERED = 0.8, 1.2
"""Deviations of a dark step's noise with its rounding, in codes, and in bins where more than one
code makes one: so narrow a noise is seen whole."""

EACH = 1.65
"""Variance of channels over that of luma from which on each has noise of its own: of BT.709 it is
1.78 then, 1 where they share it, and this where nine tenths of it are their own."""
ROUNDED, ROUNDED_EACH = 1.0 / 12.0, 0.16
"""What rounding adds to either, in squares of codes: to R' 1 + (1.5748 * 219 / 224)^2 twelfths, and
so on, weighed as luma is (ITU-R BT.709-6 items 3.2 to 3.4)."""

MISFIT = 1.25
"""Chi squared over its degrees of freedom up to which samples agree: of 300 bins, by chance, it is
more in one of 500 brackets."""
STRAINED = 12.0
"""Squares of bends, in deviations, that a dark end may have besides its `KINKS` sharpest."""
LEAST_ABOVE = 0.01
"""Codes above black that a step has to begin with."""
SENT = 0.5
"""Least part that is sent of less than no light, next to black, of a camera that sends it."""


@dataclass(frozen=True, slots=True, eq=False)
class DarkTold:
    """What samples tell of a dark end.

    Attributes
    ----------
    codes, pm:
        (steps,) of light without noise, and half widths at 95 %, as many as are dark, from the
        darkest on.
    black, black_pm:
        Code of no light, and its half width.
    """

    codes: FloatArray
    pm: FloatArray
    black: float
    black_pm: float


def dark_told(
    cap: CodeReading,
    bracket: Sequence[tuple[float, CodeReading]],
    sizes: FloatArray,
    levels: FloatArray,
    step: int,
    lowest: int,
) -> DarkTold | None:
    """What all samples of a cap and of dark steps tell of these.

    Parameters
    ----------
    cap, bracket:
        Of no light; and (stops, reading) of each step, the darkest first, in codes of the signal.
    sizes, levels:
        (steps,) deviation of noise in light, and codes without noise, as far as they are known.
    step, lowest:
        Codes from one in use to the next, and the code that holds all that lies below it too.

    Returns
    -------
    DarkTold | None
        None where they do not tell, or are not as this takes them to be.

    Examples
    --------
    >>> stops = np.arange(-8.0, -2.0, 0.5)
    >>> levels = 64.0 + 6774.0 * 0.18 * 2.0**stops
    >>> still = [(stop, CodeReading(code, 0.1)) for stop, code in zip(stops, levels, strict=True)]
    >>> dark_told(CodeReading(64.0, 0.1), still, np.zeros(12), levels, 1, 4)  # nothing was counted
    """
    stops, readings = np.array([each for each, _ in bracket]), [each for _, each in bracket]
    light = np.asarray(stops_to_linear(stops))
    dark = int(np.argmax(np.append(light > LIT * sizes, True)))
    near = [cap, *readings[:dark]]
    tallies = [each.tally for each in near if each.tally is not None]
    least = min(each.noise for each in near) / step
    is_whole = len(tallies) == len(near) and least >= LEAST_NOISE and _is_apart(near, step)
    if dark < FEWEST or not is_whole or float(np.diff(stops[:dark]).max()) > WIDE:
        return None
    every = np.concatenate([[sizes[:dark].min()], sizes[:dark]])
    end = dark_end(float(every[0]), float(light[dark - 1] + FAR * sizes[dark - 1]))
    at = end.start(_levels(end.nodes, stops, levels - cap.code), cap.code)
    bins = binned(tallies, step, lowest, max(int(least / DITHERED), 1))
    lit = np.concatenate([[0.0], light[:dark]])
    found = EndSearch(end, lit, bins, LUMA, at, every).found()
    return None if found is None or not _agrees(found, end) else _told(found, end, stops[:dark])


def _is_apart(readings: Sequence[CodeReading], step: int) -> bool:
    """Whether each channel has noise of its own."""
    found = []
    for each in readings:
        if each.channels is None:
            return False
        channels = float(LUMA @ np.square(each.channels)) - ROUNDED_EACH * step**2
        found.append(channels / (each.noise**2 - ROUNDED * step**2))
    return float(np.median(found)) >= EACH


def _levels(nodes: FloatArray, stops: FloatArray, above: FloatArray) -> FloatArray:
    """Logarithms of codes above black at nodes; below the darkest step as the dark ones rise."""
    known = np.log2(np.maximum(above, LEAST_ABOVE))
    slope, height = np.polyfit(stops[:FEWEST], known[:FEWEST], 1)
    within = np.interp(nodes, stops, known)
    return np.asarray(np.where(nodes < stops[0], slope * nodes + height, within))


def _agrees(found: EndFound, end: DarkEnd) -> bool:
    """Whether samples are as they are taken to be."""
    sent = float(found.at[end.black + 1 : end.black + 3].min())
    return found.misfit <= MISFIT and found.strain <= STRAINED and sent >= SENT


def _told(found: EndFound, end: DarkEnd, stops: FloatArray) -> DarkTold:
    codes, slopes = end.codes(found.at, stops)
    # Where samples agree less than chance has it they say less (a quasi-likelihood).
    wide = Z95 * max(found.misfit, 1.0) ** 0.5
    pm = wide * np.sqrt(np.einsum("ij,jk,ik->i", slopes, found.covariance, slopes))
    black_pm = wide * float(found.covariance[end.black, end.black]) ** 0.5
    return DarkTold(codes, pm, float(found.at[end.black]), black_pm)
