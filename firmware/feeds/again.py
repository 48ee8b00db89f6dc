"""Starting a feed again that fails or is silent: when, how thoroughly, in which words."""

from dataclasses import dataclass
from enum import Enum

from firmware.feeds.base import FeedState

PAUSES_S = (0.25, 0.5, 1.0, 2.0, 5.0, 10.0)
"""From one try to the next; the last for as long as it lasts: long enough to leave the machine in
peace, short enough for whoever has just put it right. Our own choice."""

STREAM_ONLY = 2
"""Tries that only stop and start the stream; those after them open the device anew."""


class Depth(Enum):
    """What is done to a device."""

    STREAM = "stop and start the stream"
    DEVICE = "close and open the device"


@dataclass(slots=True)
class Again:
    """What is wrong with a device, if anything, and how often it was started again for it."""

    state: FeedState | None = None
    reason: str = ""
    tries: int = 0
    not_before_ns: int = 0

    def failed(self, state: FeedState, reason: str, now_ns: int) -> Depth:
        """It has failed, or failed again: what to do now; then there is a pause."""
        self.state, self.reason = state, reason
        pause_s = PAUSES_S[min(self.tries, len(PAUSES_S) - 1)]
        self.not_before_ns = now_ns + round(pause_s * 1e9)
        self.tries += 1
        return Depth.STREAM if self.tries <= STREAM_ONLY else Depth.DEVICE

    def rest_s(self, now_ns: int) -> float:
        """Seconds until the next try."""
        return max(self.not_before_ns - now_ns, 0) / 1e9 if self.state is not None else 0.0

    @property
    def words(self) -> str:
        """What is wrong, and how often that was met."""
        times = "once" if self.tries == 1 else f"{self.tries} times"
        return f"{self.reason}; started again {times}"
