"""What a view is: how it divides the screen, and what it lays over its picture."""

from dataclasses import dataclass
from enum import Enum, Flag, auto


class Arrangement(Enum):
    """How a view divides the screen."""

    PICTURE = "picture alone"
    TRACE = "picture with the trace along its lower edge, readings over its side"
    TRACE_AND_CORNER = "the same, with a panel in a corner of the picture"
    CORNER = "picture with a large panel in its corner, readings over its side"
    TABLE = "a smaller picture with readings beside it and a panel under both"
    NUMBER = "one number, no picture"


class Over(Flag):
    """What is laid over a view's picture."""

    NOTHING = 0
    STRIPES = auto()
    """The profile's stripes."""
    EXTREMES = auto()
    """Where the brightest and the darkest thing are."""


class Readings(Enum):
    """What stands in a view's readings."""

    SPOT = "the spot and the range"
    REPORT = "the report of an instrument"
    BOTH = "the spot and the range, and what the report says to do"


@dataclass(frozen=True, slots=True)
class View:
    """One arrangement of picture and instruments.

    Attributes
    ----------
    name:
        As it is asked for and shown.
    arrangement, over, readings:
        How the screen is divided and what is shown there.
    once:
        Names of views that have gone up in it: presets and kept settings may still say them.
    """

    name: str
    arrangement: Arrangement = Arrangement.TRACE
    over: Over = Over.STRIPES
    readings: Readings = Readings.REPORT
    once: tuple[str, ...] = ()


class TraceKind(Enum):
    """What the trace shows."""

    LUMA = "luma"
    RGB = "R G B"
