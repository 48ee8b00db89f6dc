"""A level that swings up and down evenly: lamps that flicker, beating with the frame rate.

A cloud comes and goes as it likes. What swings as a sine for three times or more, evenly, is made
by a machine: the flicker of lamps on the mains against the frames, a hundredth of a hertz to some
hertz apart.
"""

import math
from collections import deque
from dataclasses import dataclass
from functools import lru_cache

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
_AROUND = np.arange(-5.0, 6.0)
"""Fiftieths of the spectrum's peak at which a sine is looked for around it."""


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
        means = np.array(self._means)
        for bins in _SPANS:
            if len(means) < bins:
                break
            found = _sine(means[-bins:])
            if found is not None and found.swing_stops > self._allowed:
                return found
        return None


@dataclass(frozen=True, slots=True, eq=False)
class _Span:
    """What so many levels are looked at with, whatever they are.

    Attributes
    ----------
    seconds:
        (n,) float64 times of the levels, from 0.
    trend:
        (2, n) float64, those times and ones.
    window:
        (n,) float64, the weight of each level in the spectrum.
    hertz, too_slow:
        (k,) float64 frequencies of the spectrum, and whether too few of their swings were seen.
    """

    seconds: FloatArray
    trend: FloatArray
    window: FloatArray
    hertz: FloatArray
    too_slow: npt.NDArray[np.bool_]


@lru_cache(maxsize=len(_SPANS))
def _span(bins: int) -> _Span:
    seconds: FloatArray = np.arange(bins, dtype=np.float64) * (_BIN_NS / 1e9)
    hertz = np.asarray(np.fft.rfftfreq(8 * bins, _BIN_NS / 1e9), np.float64)
    trend = np.stack([seconds, np.ones_like(seconds)])
    window, too_slow = np.hanning(bins), hertz * seconds[-1] < _CYCLES
    for each in (seconds, trend, window, hertz, too_slow):
        each.flags.writeable = False  # kept, so shared
    return _Span(seconds, trend, window, hertz, too_slow)


def _sine(levels: FloatArray) -> Beat | None:
    """The one sine that explains levels a tenth of a second apart; None where none does."""
    span = _span(levels.size)
    rest = _left_of(levels, span.trend)[1]
    total = float(rest @ rest)
    if total <= 0.0:
        return None
    power = np.abs(np.fft.rfft(rest * span.window, 8 * rest.size))
    power[span.too_slow] = 0.0
    best = float(span.hertz[int(np.argmax(power))])
    if best <= 0.0:
        return None
    # A trend takes a part of a few swings with it: around the peak it is looked for again.
    tried = best * (1.0 + _AROUND / 50.0)
    parts, left = _left_of(levels, _sines(span.seconds, tried))
    squares = [float(each @ each) for each in left]
    least = int(np.argmin(squares))
    hertz = float(tried[least])
    if squares[least] > (1.0 - _EXPLAINED) * total or hertz * span.seconds[-1] < _CYCLES:
        return None
    sine, cosine = parts[least, :2].tolist()
    return Beat(1.0 / hertz, 2.0 * math.hypot(sine, cosine))


def _sines(seconds: FloatArray, hertz: FloatArray) -> FloatArray:
    """(k, 4, n): a sine and a cosine of each of (k,) frequencies at (n,) times, and a trend."""
    angles = (2.0 * math.pi * hertz)[:, None] * seconds
    waves: FloatArray = np.ones((hertz.size, 4, seconds.size))
    np.sin(angles, out=waves[:, 0])
    np.cos(angles, out=waves[:, 1])
    waves[:, 2] = seconds
    return waves


def _left_of(levels: FloatArray, waves: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How much of each of (..., k, n) waves is in (n,) levels, and what is left of these without.

    (..., k) and (..., n); where several sets of waves are given each is looked for by itself.
    """
    among = waves @ waves.swapaxes(-1, -2)
    parts = np.asarray(np.linalg.solve(among, (waves @ levels)[..., None]), np.float64)[..., 0]
    return parts, levels - (parts[..., None, :] @ waves)[..., 0, :]
