"""Light that flickers during a bracket, told from a step that was mis-set where that can be.

Lamps on the mains swing at twice its frequency, and frames sample that: the level of the card beats
from frame to frame. Three things tell:

- frames that follow each other at one setting: a level that swings up and down by more than its ±
  allows is no setting's doing;
- frames that stand still where no beat could be so slow as not to show in them: then it is no
  flicker. A beat may be that slow at most frame rates (100 swings and 25 frames a second);
- the steps beside the one in question: a beat lies at another place of its swing at each of them,
  and does not leave all of these on one curve. With how likely that is, what no beat explains was
  mis-set.

Where none of them tells it may be either, and that is what is said.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
import numpy.typing as npt

from overlays.measure.characterise.followed import LEAST_STEPS, Swing
from overlays.measure.expose.mains import Mains
from overlays.signal.levels import FloatArray

SWINGS = (100.0, 120.0)
"""Swings a second of light on mains of 50 and 60 Hz."""

LEAST_PERIODS = 1.0
"""Of the slowest beat that frames must hold for standing still to say that there is none."""

NEAR_STOPS = 1.0
"""Steps so near are held to see as much of a beat: an exposure twice as long averages over more."""

UNLIKELY = 0.01
"""How likely it may be that a beat leaves the steps beside one alone, for it to be ruled out."""


class StepCause(Enum):
    """Why a step lies beside its neighbours; the value is what is said of it.

    That the light flickers is said of all steps together: one whose frames swing is their mean.
    """

    MISSET = "was mis-set, or in another light; flicker does not explain it"
    """A cloud or somebody before a lamp is no beat, and is not told from a setting."""
    EITHER = "was mis-set, or the light flickered"


@dataclass(frozen=True, slots=True)
class BracketFrames:
    """Frames of each step of a bracket.

    Attributes
    ----------
    swings:
        How its level moved over them; None where there was one.
    slowest_hertz:
        The slowest beat that the lamps can make with the frame rate; None where they make none.
    """

    swings: tuple[Swing | None, ...]
    slowest_hertz: float | None = 0.0

    def ordered(self, order: Sequence[int]) -> "BracketFrames":
        """The same with its steps in another order.

        Parameters
        ----------
        order:
            Places of the steps.

        Returns
        -------
        BracketFrames
            As many.

        Examples
        --------
        >>> dark, light = Swing(100.0, 101.0), Swing(420.0, 421.0)
        >>> BracketFrames((light, dark)).ordered([1, 0]).swings == (dark, light)
        True
        """
        return BracketFrames(tuple(self.swings[n] for n in order), self.slowest_hertz)


@dataclass(frozen=True, slots=True)
class Light:
    """What the frames of all steps say of the light.

    Attributes
    ----------
    swing_stops:
        Half of what it swings from frame to frame, the median of the steps that show it; None where
        it is not seen to.
    seen_at, looked_at:
        How many steps show it, and of how many there were several frames.
    is_ruled_out:
        Whether frames stood still where any beat would have shown.

    Examples
    --------
    >>> round(Light(swing_stops=0.5).left_stops, 3), Light().left_stops
    (0.042, 0.0)
    """

    swing_stops: float | None = None
    seen_at: int = 0
    looked_at: int = 0
    is_ruled_out: bool = False

    @property
    def left_stops(self) -> float:
        """By how much the mean of codes may lie below the code of the mean light.

        As much as a logarithm's mean is less than the logarithm of the mean of a sine about 1 (its
        integral over a turn); where the curve is straight it is nothing.
        """
        if self.swing_stops is None:
            return 0.0
        ratio = 2.0 ** (2.0 * self.swing_stops)
        depth = (ratio - 1.0) / (ratio + 1.0)
        return -math.log2(0.5 * (1.0 + math.sqrt(1.0 - depth**2)))


def beat_hertz(swings: float, rate: float) -> float:
    """How fast light is seen to swing by frames.

    Parameters
    ----------
    swings, rate:
        Swings, and frames, a second.

    Returns
    -------
    float
        In hertz: 0 where one is a multiple of the other.

    Examples
    --------
    >>> beat_hertz(100.0, 24.0), beat_hertz(100.0, 25.0)
    (4.0, 0.0)
    """
    return abs(swings - rate * round(swings / rate))


def slowest_beat(mains: Mains, rate: float | None) -> float | None:
    """The slowest beat that lamps can make.

    Parameters
    ----------
    mains:
        What the lamps are fed with; both frequencies are reckoned with where that is not known.
    rate:
        Frames a second; None where that is not known.

    Returns
    -------
    float | None
        In hertz, 0 for one that never shows from frame to frame; None where light does not flicker.

    Examples
    --------
    >>> slowest_beat(Mains.HZ50, 24.0), slowest_beat(Mains.NONE, 24.0)  # 100 less 4 times 24
    (4.0, None)
    """
    if mains is Mains.NONE:
        return None
    if not rate:
        return 0.0
    hertz = mains.hertz
    every = SWINGS if hertz is None else (2.0 * hertz,)
    return min(beat_hertz(each, rate) for each in every)


def light_of(
    swings: Sequence[Swing | None], widths_stops: FloatArray, slowest_hertz: float | None
) -> Light:
    """What all steps say of the light.

    Parameters
    ----------
    swings:
        Of each step; None where there was one frame.
    widths_stops:
        (steps,) how many stops lie between its lowest and highest level; nan where that is not
        known.
    slowest_hertz:
        The slowest beat that the lamps can make; None where they make none.

    Returns
    -------
    Light
        Of the bracket.

    Examples
    --------
    >>> swing = Swing(410.0, 430.0, turns=9, seconds=1.0, is_more_than_noise=True)
    >>> found = light_of([swing, swing, None], np.array([0.25, 0.25, np.nan]), slowest_hertz=4.0)
    >>> found.swing_stops, found.seen_at, found.looked_at
    (0.125, 2, 2)
    """
    looked = [each for each in swings if each is not None and each.seconds > 0.0]
    seen = [n for n, each in enumerate(swings) if each is not None and each.is_up_and_down]
    known = widths_stops[seen][np.isfinite(widths_stops[seen])]
    if len(seen) >= LEAST_STEPS and known.size:
        return Light(0.5 * float(np.median(known)), len(seen), len(looked))
    long_enough = [
        each
        for each in looked
        if not each.is_more_than_noise
        and slowest_hertz is not None
        and each.seconds * slowest_hertz >= LEAST_PERIODS
    ]
    # Frames in which a beat would not show do not speak against one: most steps must have others.
    ruled_out = slowest_hertz is None or 2 * len(long_enough) > len(swings)
    return Light(None, len(seen), len(looked), ruled_out)


@dataclass(frozen=True, slots=True, eq=False)
class StepsBeside:
    """Steps, and how far they lie beside their neighbours.

    Attributes
    ----------
    stops, off, widths:
        (n,) as they were set, how far beside (nan where that is not known), and half widths of what
        was read, all in stops.
    is_believed:
        (n,) whether the curve goes through them.
    """

    stops: FloatArray
    off: FloatArray
    widths: FloatArray
    is_believed: npt.NDArray[np.bool_]


def cause_of(place: int, steps: StepsBeside, light: Light) -> StepCause:
    """Why a step lies beside its neighbours.

    Parameters
    ----------
    place, steps:
        Which, and all of them.
    light:
        What frames say.

    Returns
    -------
    StepCause
        Either, where nothing tells.

    Examples
    --------
    >>> off, believed = np.array([0.0, 0.5, 0.0]), np.array([True] * 3)
    >>> beside = StepsBeside(np.arange(3.0), off, np.zeros(3), believed)
    >>> cause_of(1, beside, Light(is_ruled_out=True)).name, cause_of(1, beside, Light(0.3)).name
    ('MISSET', 'EITHER')
    """
    if light.is_ruled_out:
        return StepCause.MISSET
    far = abs(float(steps.off[place]))
    if not math.isfinite(far):
        return StepCause.EITHER
    if light.swing_stops is not None:
        return StepCause.EITHER if far <= 2.0 * light.swing_stops else StepCause.MISSET
    near = steps.is_believed & (np.abs(steps.stops - steps.stops[place]) <= NEAR_STOPS + 1e-6)
    near[place] = False
    others = np.abs(steps.off[near]) + steps.widths[near]
    others = others[np.isfinite(others)]
    if not others.size:
        return StepCause.EITHER
    return StepCause.MISSET if _left_alone(others, far) < UNLIKELY else StepCause.EITHER


def _left_alone(others: FloatArray, far: float) -> float:
    """How likely a beat that moves one step so far leaves the others within so little, at most.

    A sine spends most of its time at its ends. At best the one lies at one end and all others at
    the other, each at a moment of its own.
    """
    swing = 0.5 * far
    reach = np.clip(1.0 - 2.0 * others / swing, -1.0, 1.0)
    return float(np.prod(np.arccos(reach) / math.pi))
