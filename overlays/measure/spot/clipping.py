"""What clipping hides of a spot's light: nothing, so little that the ± holds it, or who knows what.

A share p of a spot's pixels lies at the clip L, and what they truly were is L or more. The mean of
the spot is then too low by the mean of what is over L: there is no upper bound to that, whatever
p is, since a single glint may be a thousand times as bright as L. So one clipped pixel is enough
to leave no ± above.

One thing alone is known of them beforehand: noise. Of a level that lies z standard deviations
beneath the clip, noise puts Q(z) = 1 - Phi(z) of the pixels over it, and what is cut off them is
sigma (phi(z) - z Q(z)) in the mean (the mean of a normal distribution over a threshold: textbook
calculus). Where a channel's share is no more than noise explains, that much is added to the ±, and
it stands; where it is more, there is none.
"""

import math
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.yardstick import Yardstick

FloatArray = npt.NDArray[np.float64]

CHANCE = 4.0
"""How many times the expected number of pixels may be clipped by chance: of one expected, more than
four come once in 270 spots (Poisson), of many far less often."""
_NORMAL = NormalDist()


def noise_over(distance: float, sigma: float, share: float) -> float | None:
    """Mean of what noise has over the clip, in the unit of `sigma`; None where noise is not all.

    Parameters
    ----------
    distance:
        From the mean level up to the clip.
    sigma:
        Standard deviation of a pixel, same unit.
    share:
        Of the pixels that are clipped, 0 to 1.

    Returns
    -------
    float | None
        In the unit of `sigma`, such as codes; 0 where nothing is clipped.

    Examples
    --------
    Of 2.3 % two deviations beneath the clip noise is all, of 50 % it is not:

    >>> noise_over(2.0, 1.0, 0.023) is None, noise_over(2.0, 1.0, 0.5) is None
    (False, True)
    """
    if share <= 0.0:
        return 0.0
    if sigma <= 0.0:
        return None
    z = distance / sigma
    expected = _NORMAL.cdf(-z)
    if share > CHANCE * expected:
        return None
    if share > expected:
        z = -_NORMAL.inv_cdf(min(share, 0.5))
    return sigma * (_NORMAL.pdf(z) - z * _NORMAL.cdf(-z))


def hidden_light(
    yard: Yardstick, nominal: FloatArray, sigmas: FloatArray, clipped: FloatArray
) -> tuple[FloatArray, FloatArray] | None:
    """What noise hides over the clip: (nominal, linear) of R, G and B; None where it is not all.

    Parameters
    ----------
    yard:
        What the spot is read with.
    nominal:
        (3,) mean nominal R', G', B'.
    sigmas:
        (3,) standard deviations of a pixel's.
    clipped:
        (3,) shares clipped, 0 to 1.

    Returns
    -------
    tuple | None
        Two (3,) float64, 0 where nothing is clipped.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> noise = np.full(3, 0.01)
    >>> hidden_light(VIDEO, np.full(3, 0.5), noise, np.array([0.9, 0.0, 0.0])) is None
    True
    >>> hidden = hidden_light(VIDEO, VIDEO.clip_limits - 0.02, noise, np.array([0.02, 0.0, 0.0]))
    >>> (hidden[0] > 0.0).tolist()
    [True, False, False]
    """
    levels, light = np.zeros(3), np.zeros(3)
    for channel in np.flatnonzero(clipped > 0.0):
        sigma = float(sigmas[channel])
        distance = float(yard.clip_limits[channel]) - float(nominal[channel])
        over = noise_over(distance, sigma, float(clipped[channel]))
        if over is None:
            return None
        levels[channel] = over
        light[channel] = over * _steepest(yard, yard.clip_percents[channel] / 100.0, sigma)
    return levels, light


def _steepest(yard: Yardstick, limit: float, sigma: float) -> float:
    """Light for signal about the clip: a curve goes on getting steeper above it."""
    at = yard.carried.light(np.array([limit - sigma, limit, limit + sigma]))
    rises = np.diff(at) / sigma
    usable = [float(rise) for rise in rises if math.isfinite(rise)]
    return max(usable, default=0.0)
