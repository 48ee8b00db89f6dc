"""The three phases a follower can be in, and how it gets from one to another.

::

    LearningPhase --(enough readings for their noise)--> SteadyPhase
    SteadyPhase   --(away for longer than one bad reading explains)--> ChangingPhase
    ChangingPhase --(back: passing; stayed: step or drift)--> SteadyPhase
    SteadyPhase, ChangingPhase --(a gap in the feed)--> LearningPhase

A phase holds only what belongs to it. What outlives them (readings, quiet level, noise, what was
told of) is kept by the follower.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LearningPhase:
    """Readings are gathered until their noise and the quiet level are known.

    Attributes
    ----------
    gap_ns:
        Time of the last frame before the gap that made this necessary; None at the beginning of
        a watch. A gap that falls into the learning itself changes nothing.
    """

    gap_ns: int | None = None


@dataclass(frozen=True, slots=True)
class SteadyPhase:
    """Readings stay near the quiet level, or have not been away for long enough to tell.

    Attributes
    ----------
    beyond:
        How many of the newest means, without a break, lay further off than the tolerance.
    """

    beyond: int = 0


@dataclass(frozen=True, slots=True)
class ChangingPhase:
    """Readings left the quiet level; whether they come back is open.

    Attributes
    ----------
    since_ns:
        When they left it.
    """

    since_ns: int


Phase = LearningPhase | SteadyPhase | ChangingPhase
