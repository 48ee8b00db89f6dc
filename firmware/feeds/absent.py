"""Stands in the place of a feed that was named and is not there yet: no frames, and why."""

from firmware.clock import Clock
from firmware.feeds.base import FeedInfo, FeedState
from overlays.signal.frame import Frame
from overlays.signal.signal import Signal

USUAL_SIZE = (1920, 1080)
"""Of the picture that is not there, for the layout of the screen alone."""


class AbsentFeed:
    """A feed without frames.

    Parameters
    ----------
    name:
        Of the feed that is missing, as the user asked for it.
    why:
        The sentence that its opening was refused with.
    clock:
        Time.
    """

    def __init__(self, name: str, why: str, clock: Clock) -> None:
        self._clock, self._closed = clock, False
        # A sentence that names its feed needs it no second time.
        missing = why if name in why else f"{name}: {why}"
        self._info = FeedInfo(
            name, FeedState.ABSENT.value, *USUAL_SIZE, Signal(), 0.0, warnings=(missing,)
        )

    @property
    def info(self) -> FeedInfo:
        """What is known of it: its name, and in the warnings what is missing."""
        return self._info

    def read(self, timeout_s: float) -> FeedState:
        """That it is not there, after `timeout_s` seconds at the most."""
        if self._closed:
            return FeedState.GONE
        self._clock.sleep(timeout_s)
        return FeedState.ABSENT

    def release(self, frame: Frame) -> None:
        """Nothing was lent."""

    def close(self) -> None:
        """Nothing to let go of."""
        self._closed = True
