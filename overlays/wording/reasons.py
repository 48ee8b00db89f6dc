"""Why a number is missing, has no ± or is only a bound: one list of reasons, and their words."""

from enum import Enum, auto


class Reason(Enum):
    """Why something cannot be known. Every outlet says it in the words of `words`."""

    CLIPPED = auto()
    """Too much of it lies at the clip: the light is as bright or brighter, nobody knows by what."""
    PARTLY_CLIPPED = auto()
    """A little of it lies at the clip, which no noise explains: a glint of unknown light."""
    PERHAPS_CLIPPED = auto()
    """It is flat and nothing in the picture is brighter: the camera may give out there."""
    NO_LIGHT = auto()
    """There is no light above black, and no logarithm of it."""
    CUT_OFF = auto()
    """The camera sends nothing lower: the light is as dark or darker."""
    DOWN_TO_NO_LIGHT = auto()
    """The ± is as large as the light."""
    TOO_DARK = auto()
    """A channel has no light."""
    CHANNELS_TOO_DARK = auto()
    """A channel is known to half a stop at best."""
    BOTH_BOUNDS = auto()
    """Of two readings both are only bounds on the same side: their difference may be anything."""
    OUT_OF_REACH = auto()
    """No change of light brings it to the level that is wanted."""
    NOT_READ = auto()
    """There is no reading of it at all."""

    @property
    def words(self) -> str:
        """A few plain words, without a full stop, as they follow "unknown:" or stand alone."""
        return _WORDS[self]


_WORDS = {
    Reason.CLIPPED: "clipped",
    Reason.PARTLY_CLIPPED: "partly clipped",
    Reason.PERHAPS_CLIPPED: "perhaps clipped by the camera: flat, and nothing is brighter",
    Reason.NO_LIGHT: "no light",
    Reason.CUT_OFF: "cut off below",
    Reason.DOWN_TO_NO_LIGHT: "known down to no light only",
    Reason.TOO_DARK: "too dark",
    Reason.CHANNELS_TOO_DARK: "too dark to compare its channels",
    Reason.BOTH_BOUNDS: "both are clipped or cut off",
    Reason.OUT_OF_REACH: "the target is out of reach",
    Reason.NOT_READ: "not to be read",
}


MAY_BE_CLIPPED = "may be clipped: no ±"
"""In place of a ± that cannot be told, where a sentence says why, or there is no room for one."""


class Bound(Enum):
    """Which side of the truth a number is known to lie on, where it is no more than a bound."""

    AT_LEAST = "at least"
    """Clipped: the truth is this or more."""
    AT_MOST = "at most"
    """Cut off below: the truth is this or less."""

    @property
    def sign(self) -> str:
        """The same where words have no room."""
        return "≥" if self is Bound.AT_LEAST else "≤"

    @property
    def other(self) -> "Bound":
        """The other side."""
        return Bound.AT_MOST if self is Bound.AT_LEAST else Bound.AT_LEAST


def bound_of_difference(first: Bound | None, second: Bound | None) -> Bound | Reason | None:
    """What is known of first less second.

    Parameters
    ----------
    first, second:
        Of the two numbers; None of one that is known.

    Returns
    -------
    Bound | Reason | None
        None where the difference is known; a reason where not even a bound is left of it.

    Examples
    --------
    >>> bound_of_difference(None, Bound.AT_LEAST)
    <Bound.AT_MOST: 'at most'>
    """
    if second is None:
        return first
    if first is None or first is second.other:
        return second.other
    return Reason.BOTH_BOUNDS
