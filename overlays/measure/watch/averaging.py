"""How many readings must be averaged so that their noise stays well inside a tolerance."""

import math

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

SIGMAS = 6.0
"""Standard deviations of a comparison that must fit into the tolerance: two in 10**9 lie outside,
and an hour of a feed makes 10**5 comparisons."""

QUIET_S = 2.0
"""Least stretch that a quiet level is taken over."""

MOST_READINGS = 750
"""Half a minute at 25 frames a second: beyond, a cloud would be averaged away with the noise."""

_MEDIAN_COST = 1.2533
"""Standard error of a median against that of a mean of normal readings: sqrt(pi / 2)."""


class Averaging:
    """Knows the noise of three quantities, and how much averaging their tolerances ask for.

    Parameters
    ----------
    allowed:
        (3,) tolerances.
    """

    def __init__(self, allowed: FloatArray) -> None:
        self._allowed = allowed
        self._worst = 0.0
        self.averaged = 1
        """Readings to average where a change is looked for; 15 % more for the level before."""

    def measure(self, values: FloatArray) -> None:
        """Learn the noise of (n, 3) readings from neighbours' differences, which no drift affects.

        Parameters
        ----------
        values:
            (n, 3) float64, n at least 2, in the unit of the tolerances, in order of time.
        """
        steps = np.abs(np.diff(values, axis=0))
        spread = np.median(steps, axis=0) * 1.4826 / math.sqrt(2.0)
        # Rounded readings may differ in less than half of all steps: then the mean says more.
        mean = steps.mean(axis=0) * math.sqrt(math.pi) / 2.0
        sigma = np.where(spread > 0.0, np.maximum(spread, np.minimum(mean, 2.0 * spread)), mean)
        self._worst = float(np.max(sigma / self._allowed))
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
        """
        return min(max(round(QUIET_S * rate), self._needed, 8), MOST_READINGS)
