"""A level that swings up and down evenly: lamps that flicker, beating with the frame rate.

A cloud comes and goes as it likes. What swings as a sine for three times or more, evenly, is made
by a machine: the flicker of lamps on the mains against the frames, a hundredth of a hertz to some
hertz apart.
"""

import math
from collections import deque
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

_BIN_NS = 100_000_000
_BINS = 900
"""A minute and a half."""
_CYCLES = 3.0
"""So many must have been seen."""
_EXPLAINED = 0.85
"""Share of the level's variance that one sine explains; of a square wave it explains 8 / pi^2."""
_SPANS = (150, 190, 240, 300, 375, 470, 590, 735, 900)
"""Bins that are looked at, the fewest first: a fast beat is known soon."""


@dataclass(frozen=True, slots=True)
class Beat:
    """An even swing.

    Attributes
    ----------
    period_s:
        From one top to the next.
    swing_stops:
        From bottom to top.
    """

    period_s: float
    swing_stops: float


class BeatFinder:
    """Looks for a beat in the level of one pin.

    Parameters
    ----------
    allowed_stops:
        The tolerance: what swings by less is not looked for.

    Examples
    --------
    >>> finder = BeatFinder(allowed_stops=0.1)
    >>> for number in range(25 * 20):  # a swing every two seconds, 0.4 stop from bottom to top
    ...     _ = finder.add(number * 40_000_000, 0.2 * math.sin(math.pi * number / 25.0))
    >>> round(finder.find().period_s, 1), round(finder.find().swing_stops, 1)
    (2.0, 0.4)
    """

    def __init__(self, allowed_stops: float) -> None:
        self._allowed = allowed_stops
        self._means: deque[float] = deque(maxlen=_BINS)
        self._bin: int | None = None
        self._sum = self._count = 0.0

    def add(self, time_ns: int, level: float | None) -> bool:
        """Take a level in stops; whether a second is full and it is worth looking again.

        Parameters
        ----------
        time_ns:
            Times only go forward; a gap of more than a second forgets what was before.
        level:
            None for no light, which forgets it too.

        Returns
        -------
        bool
            True at most once a second.
        """
        here = time_ns // _BIN_NS
        if level is None:
            self._forget()
            return False
        if self._bin is not None and here != self._bin:
            if here - self._bin > 10:
                self._forget()
            else:
                self._means.extend([self._sum / self._count] * (here - self._bin))
                self._sum = self._count = 0.0
        full = here != self._bin and here % 10 == 0
        self._bin = here
        self._sum += level
        self._count += 1.0
        return full

    def _forget(self) -> None:
        self._means.clear()
        self._bin, self._sum, self._count = None, 0.0, 0.0

    def find(self) -> Beat | None:
        """The beat in what was seen last; None where there is none."""
        for bins in _SPANS:
            if len(self._means) < bins:
                break
            found = _sine(np.array(self._means)[-bins:])
            if found is not None and found.swing_stops > self._allowed:
                return found
        return None


def _sine(levels: FloatArray) -> Beat | None:
    """The one sine that explains levels a tenth of a second apart; None where none does."""
    seconds: FloatArray = np.arange(levels.size, dtype=np.float64) * (_BIN_NS / 1e9)
    rest = _left_of(levels, np.stack([seconds, np.ones_like(seconds)]))[1]
    total = float(rest @ rest)
    if total <= 0.0:
        return None
    power = np.abs(np.fft.rfft(rest * np.hanning(rest.size), 8 * rest.size))
    hertz = np.fft.rfftfreq(8 * rest.size, _BIN_NS / 1e9)
    power[hertz * seconds[-1] < _CYCLES] = 0.0
    best = float(hertz[int(np.argmax(power))])
    if best <= 0.0:
        return None
    # A trend takes a part of a few swings with it: around the peak it is looked for again.
    tried = [_with_sine(levels, seconds, best * (1.0 + step / 50.0)) for step in range(-5, 6)]
    left, hertz_of, amplitude = min(tried)
    if left > (1.0 - _EXPLAINED) * total or hertz_of * seconds[-1] < _CYCLES:
        return None
    return Beat(1.0 / hertz_of, 2.0 * amplitude)


def _with_sine(levels: FloatArray, seconds: FloatArray, hertz: float) -> tuple[float, float, float]:
    """(sum of squares that is left, frequency, amplitude) of a sine and a trend in levels."""
    angles = 2.0 * math.pi * hertz * seconds
    waves = np.stack([np.sin(angles), np.cos(angles), seconds, np.ones_like(seconds)])
    parts, left = _left_of(levels, waves)
    return float(left @ left), hertz, math.hypot(float(parts[0]), float(parts[1]))


def _left_of(levels: FloatArray, waves: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How much of each of (k, n) waves is in (n,) levels, and what is left of these without."""
    parts: FloatArray = np.asarray(np.linalg.solve(waves @ waves.T, waves @ levels), np.float64)
    return parts, levels - parts @ waves
