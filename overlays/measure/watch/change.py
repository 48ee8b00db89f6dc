"""What a watch speaks of: changes of light, what is allowed, and how a change went."""

from dataclasses import dataclass
from enum import Enum

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
Three = tuple[float, float, float]
Times = tuple[int, ...]
"""Times of frames in nanoseconds, one as often as it counts."""


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far a pin may move unremarked, in stops: its level, and red or blue against green.

    Examples
    --------
    >>> Tolerance(level_stops=0.1, balance_stops=0.2).stops.tolist()
    [0.1, 0.2, 0.2]
    """

    level_stops: float = 0.1
    balance_stops: float = 0.1

    @property
    def stops(self) -> FloatArray:
        """(level, red, blue)."""
        return np.array([self.level_stops, self.balance_stops, self.balance_stops])


class Change(Enum):
    """How light changed; the value is what it is called."""

    DRIFT = "drift"
    STEP = "step"
    PASSING = "passing"


class Happening(Enum):
    """What befell a take beside changes of light; the value is what it is called."""

    CLIP = "clip"
    """A pin went into the clip: its light cannot be followed."""
    LOST = "lost"
    """A pin has no light that could be followed."""
    RETURNED = "returned"
    """It can be followed again."""
    BEAT = "beat"
    """Light swings up and down evenly."""
    CUT = "cut"
    """From one frame to the next it is another picture."""
    GAP = "gap"
    """For a time there were no frames."""


class Mood(Enum):
    """What a follower is at; the value is what the screen says."""

    LEARNING = "learning the reference"
    STEADY = "steady"
    CHANGING = "something changes"
    NOISY = "too noisy for this tolerance"
    CLIPPED = "clipped, its light cannot be followed"
    DARK = "no light to follow"


@dataclass(frozen=True, slots=True)
class MadeOf:
    """Of which frames' readings (level, red, blue) is the mean; each of the three has its own.

    A median is the mean of the one or two readings in the middle: it is made of those.
    """

    level: Times
    red: Times
    blue: Times

    @classmethod
    def of_all(cls, times: Times) -> "MadeOf":
        """All three of the same frames.

        Parameters
        ----------
        times:
            Nanoseconds.

        Returns
        -------
        MadeOf
            Of those.

        Examples
        --------
        >>> MadeOf.of_all((1, 2)).blue
        (1, 2)
        """
        return cls(times, times, times)

    @property
    def three(self) -> tuple[Times, Times, Times]:
        """In the order of the quantities."""
        return self.level, self.red, self.blue


def times_of(*made: MadeOf | None) -> frozenset[int]:
    """Times of all frames that some levels are the means of.

    Parameters
    ----------
    made:
        Of which frames each is; None for one of which that is not known.

    Returns
    -------
    frozenset of int
        Nanoseconds.

    Examples
    --------
    >>> sorted(times_of(MadeOf((1, 2), (2,), (3,)), None))
    [1, 2, 3]
    """
    return frozenset(time for each in made if each for times in each.three for time in times)


@dataclass(frozen=True, slots=True)
class Between:
    """The means that a change lies between: (level, red, blue) each, in stops.

    Attributes
    ----------
    reference:
        That was learnt first.
    before, after:
        The quiet level before it and what it came to; of something passing, its farthest reading.
    reference_of, before_of, after_of:
        Of which frames each is the mean; None where that was not noted.

    Examples
    --------
    >>> means = Between(reference=(0.0, 0.0, 0.0), before=(0.5, 0.0, 0.0), after=(0.25, 0.0, 0.0))
    >>> means.by_stops[0], means.off_stops[0], means.left_stops[0]
    (-0.25, 0.25, 0.5)
    """

    reference: Three
    before: Three
    after: Three
    reference_of: MadeOf | None = None
    before_of: MadeOf | None = None
    after_of: MadeOf | None = None

    @property
    def times(self) -> frozenset[int]:
        """Times of all frames that they are made of, in nanoseconds."""
        return times_of(self.reference_of, self.before_of, self.after_of)

    @property
    def by_stops(self) -> Three:
        """What it changed by."""
        return three(np.subtract(self.after, self.before))

    @property
    def off_stops(self) -> Three:
        """How far from the reference it came to."""
        return three(np.subtract(self.after, self.reference))

    @property
    def left_stops(self) -> Three:
        """How far from the reference it came from: where what passed leaves the light."""
        return three(np.subtract(self.before, self.reference))


@dataclass(frozen=True, slots=True)
class Event:
    """One change of one pin.

    Attributes
    ----------
    change:
        Drift, step or passing.
    start_ns, end_ns:
        When it began (for a step: when half of it was done) and when it was over, or was judged.
    by_stops:
        (level, red, blue) it changed by; for something passing, the most it was away by.
    off_stops:
        (level, red, blue) from the reference afterwards.
    over_gap:
        Whether it happened while there were no frames.
    means:
        What that was reckoned from; None where it was not from means.
    """

    change: Change
    start_ns: int
    end_ns: int
    by_stops: Three
    off_stops: Three
    over_gap: bool = False
    means: Between | None = None


def distance(values: FloatArray, level: FloatArray, allowed: FloatArray) -> float:
    """Greatest distance of values from a level in tolerances; all (3,), in stops.

    Parameters
    ----------
    values, level:
        float64.
    allowed:
        float64, above 0.

    Returns
    -------
    float
        1 is at the tolerance.

    Examples
    --------
    >>> distance(np.array([0.25, 0.0, 0.5]), np.zeros(3), np.array([0.5, 0.25, 0.25]))
    2.0
    """
    # Of three numbers Python's own arithmetic takes a fifth of the time that arrays do.
    a, b, c = values.tolist()
    x, y, z = level.tolist()
    of_a, of_b, of_c = allowed.tolist()
    return float(max(abs(a - x) / of_a, abs(b - y) / of_b, abs(c - z) / of_c))


def three(values: FloatArray) -> Three:
    """An array of three as a tuple.

    Parameters
    ----------
    values:
        (3,) of any kind of number.

    Returns
    -------
    Three
        Of floats.

    Examples
    --------
    >>> three(np.array([0.5, 0.0, -0.5]))
    (0.5, 0.0, -0.5)
    """
    return float(values[0]), float(values[1]), float(values[2])


def rise(seconds: FloatArray, progress: FloatArray) -> tuple[int, float]:
    """(time of the half in ns, seconds from the first to the last sixth) of a change.

    Parameters
    ----------
    seconds:
        (n,) float64 times, going up.
    progress:
        (n,) float64 share of the change that was done at each; it must pass 5/6.

    Returns
    -------
    tuple[int, float]
        Time in ns, length in seconds.

    Examples
    --------
    >>> half_ns, lasts = rise(np.arange(7.0), np.array([0.0, 0.0, 0.25, 0.5, 0.75, 1.0, 1.0]))
    >>> half_ns / 1e9, lasts
    (3.0, 4.0)
    """
    after = int(np.argmax(progress > 5.0 / 6.0))
    before = np.flatnonzero(progress[: after + 1] < 1.0 / 6.0)
    first = int(before[-1]) if before.size else 0
    half = first + int(np.argmax(progress[first : after + 1] >= 0.5))
    return round(float(seconds[half]) * 1e9), float(seconds[after] - seconds[first])
