"""How many readings must be averaged so that their noise stays well inside a tolerance."""

import math

import numpy as np

from overlays.measure.counting.quantiles import median
from overlays.signal.levels import FloatArray

SIGMAS = 6.0
"""Standard deviations of a comparison that must fit into the tolerance: two in 10**9 lie outside,
and an hour of a feed makes 10**5 comparisons."""

QUIET_S = 2.0
"""Least stretch that a quiet level is taken over."""

MOST_READINGS = 750
"""Half a minute at 25 frames a second: beyond, a cloud would be averaged away with the noise."""

_MEDIAN_COST = 1.2533
"""Standard error of a median against that of a mean of normal readings: sqrt(pi / 2)."""

_FEWEST = 50
"""Readings from which noise that lasts can be told from noise that does not."""
_SCATTER = 3.0
"""Over the root of the number of readings: 99 of 100 series of white noise keep below it (by trial:
tests/overlays/measure/watch/test_averaging.py)."""
_NEAR = 1.5
_MOST_SHARE = 0.95


class Averaging:
    """Knows the noise of three quantities, and how much averaging their tolerances ask for.

    Parameters
    ----------
    allowed:
        (3,) tolerances.

    Examples
    --------
    >>> noise = np.random.default_rng(1).normal(0.0, 0.05, (500, 3))  # in stops
    >>> averaging = Averaging(allowed=np.array([0.1, 0.1, 0.1]))
    >>> averaging.measure(noise)
    >>> 8 < averaging.averaged < 25, averaging.is_too_great  # (1.15 * 6 * 0.05 / 0.1)**2 is 12
    (True, False)
    """

    def __init__(self, allowed: FloatArray) -> None:
        self._allowed = allowed
        self._worst = 0.0
        self.averaged = 1
        """Readings to average where a change is looked for; 15 % more for the level before."""

    def measure(self, values: FloatArray, longer: FloatArray | None = None) -> None:
        """Learn the noise of (n, 3) readings from neighbours' differences, which no drift affects.

        Parameters
        ----------
        values:
            (n, 3) float64, n at least 2, in the unit of the tolerances, in order of time.
        longer:
            The same over a longer time, where there is one: whether noise lasts shows better there.
        """
        steps = np.abs(values[1:] - values[:-1])
        spread = median(steps) * 1.4826 / math.sqrt(2.0)
        # Rounded readings may differ in less than half of all steps: then the mean says more.
        mean = steps.mean(axis=0) * math.sqrt(math.pi) / 2.0
        sigma = np.where(spread > 0.0, np.maximum(spread, np.minimum(mean, 2.0 * spread)), mean)
        worst = int(np.argmax(sigma / self._allowed))
        longer = values if longer is None else longer
        lasting = lasting_noise(longer[:, worst])
        self._worst = float(sigma[worst] / self._allowed[worst]) * lasting
        wanted = math.ceil((1.15 * SIGMAS * self._worst) ** 2)
        self.averaged = min(max(1, wanted), MOST_READINGS)

    @property
    def is_too_great(self) -> bool:
        """Whether averaging `MOST_READINGS` would still leave too much noise."""
        return self._needed > MOST_READINGS

    @property
    def _needed(self) -> int:
        """Readings to average for a quiet level that is compared with another one."""
        return math.ceil((2.0 * _MEDIAN_COST * SIGMAS * self._worst) ** 2)

    def window(self, rate: float) -> int:
        """Readings to take a quiet level over at a rate in readings a second.

        Parameters
        ----------
        rate:
            Readings a second, above 0.

        Returns
        -------
        int
            8 to `MOST_READINGS`.

        Examples
        --------
        >>> Averaging(np.array([0.1, 0.1, 0.1])).window(rate=25.0)  # two seconds without noise
        50
        """
        return min(max(round(QUIET_S * rate), self._needed, 8), MOST_READINGS)


def lasting_noise(values: FloatArray) -> float:
    """By how much more noise means keep than the steps from reading to reading show.

    Cameras average frames: noise then lasts from one to the next, neighbours differ little, and
    means of many still wander. Noise of which each reading keeps a share r of the one before (an
    autoregression of first order) differs by 2 s^2 (1 - r) from one reading to the next, by
    2 s^2 (1 - r^2) over two and by 2 s^2 (1 - r^4) over four, and its mean over n readings has
    s^2 (1 + r) / (1 - r) / n.

    Parameters
    ----------
    values:
        (n,) float64 readings of one quantity, in order of time.

    Returns
    -------
    float
        1 for noise that is free from reading to reading, for too few readings to tell, and for what
        moves otherwise (over twice the time a drift or a wave differs by four times as much).

    Examples
    --------
    >>> white = np.random.default_rng(1).normal(0.0, 0.05, 500)
    >>> averaged = np.convolve(white, 0.5 ** np.arange(8))[:500]  # keeps half of the last
    >>> lasting_noise(white), 1.5 < lasting_noise(averaged) < 4.0  # 2.4 of many
    (1.0, True)
    """
    if values.size < _FEWEST:
        return 1.0
    one, two, four = (_mean_square(values[n:] - values[:-n]) for n in (1, 2, 4))
    if one <= 0.0:
        return 1.0
    share = two / one - 1.0
    # White noise must not be taken for more.
    doubt = _SCATTER / math.sqrt(values.size)
    if share < doubt or share > 1.0:
        return 1.0
    expected = 1.0 + share + share**2 + share**3
    if not 1.0 / _NEAR < four / one / expected < _NEAR:
        return 1.0
    share = min(share, _MOST_SHARE)
    return math.sqrt(1.0 + share) / (1.0 - share)


def _mean_square(steps: FloatArray) -> float:
    """Of (n,) steps; the few that are far greater than the others count as four deviations."""
    size = np.abs(steps)
    usual = 1.4826 * float(median(size)) or float(size.mean())
    return float((np.minimum(size, 4.0 * usual) ** 2).mean())
