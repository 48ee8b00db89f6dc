"""What is to be done about versions: decided from how they stand, touching nothing.

A version that runs is either proved, or on trial with the proved one behind it. Power may go
between any two steps of a change, so what is found at a start may be half of one: each half has its
answer here, and `slots` takes its steps in the order that leaves only such halves.
"""

from dataclasses import dataclass
from enum import Enum

TRIES = 3
"""Starts that a version on trial is given; our own choice: one may be cut by the power, and the
next by whoever looks why there is no picture."""


@dataclass(frozen=True, slots=True)
class Trial:
    """A version that has not proved itself, and how often it was started."""

    version: str
    starts: int


@dataclass(frozen=True, slots=True)
class VersionsInUse:
    """How versions stand.

    Attributes
    ----------
    current, previous:
        Versions that the links name; None where there is no link, or it leads to no version.
    trial:
        What the file of the trial says; None where there is none, or it says nothing.
    """

    current: str | None
    previous: str | None = None
    trial: Trial | None = None

    @property
    def is_on_trial(self) -> bool:
        """Whether what is started has not proved itself yet."""
        return self.trial is not None and self.trial.version == self.current


class Doing(Enum):
    """What a decision asks for."""

    NOTHING = "nothing"
    COUNT = "count one start"
    END_TRIAL = "end the trial, and leave what is started as it is"
    GO_BACK = "start the previous version from now on, and end the trial"


@dataclass(frozen=True, slots=True)
class Decision:
    """What is to be done, and why, as part of a sentence."""

    doing: Doing
    why: str = ""


NOTHING = Decision(Doing.NOTHING)


def before_start(now: VersionsInUse) -> Decision:
    """What is to be done before the unit starts its program."""
    if now.current is None:
        return _back(now, "its folder is not there")
    if now.trial is None:
        return NOTHING
    if not now.is_on_trial:
        # The power went between the two steps of a switch, or between those of a way back.
        return Decision(Doing.END_TRIAL)
    if now.trial.starts >= TRIES:
        back = _back(now, f"it did not prove itself in {TRIES} starts")
        if back is not NOTHING:
            return back
    return Decision(Doing.COUNT)


def time_is_up(now: VersionsInUse, *, waits_for_feed: bool) -> Decision:
    """What is to be done when the time of a trial is over.

    Parameters
    ----------
    waits_for_feed:
        Whether the version says that it has nothing to measure: no picture comes in. That is no
        fault of its, and it is not given up for it; its starts are counted all the same.
    """
    if not now.is_on_trial or waits_for_feed:
        return NOTHING
    return _back(now, "it did not measure and show a picture within its time")


def proved(now: VersionsInUse, version: str) -> Decision:
    """What is to be done when a running process says that its version has proved itself."""
    is_it = now.is_on_trial and version == now.current
    return Decision(Doing.END_TRIAL) if is_it else NOTHING


def _back(now: VersionsInUse, why: str) -> Decision:
    there_is = now.previous is not None and now.previous != now.current
    return Decision(Doing.GO_BACK, why) if there_is else NOTHING
