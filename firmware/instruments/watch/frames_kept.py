"""The codes of watched pins in the frames that means are made of: the newest, and a few older ones.

A watch follows frames for hours; what it may tell of next is made of a few of them. All of the
newest are kept for some seconds, and of those before only what a reference, a quiet level or what
was last told of is the mean of.
"""

from collections.abc import Mapping
from dataclasses import replace

from firmware.instruments.pin_frames import PinFrames
from overlays.measure.spot.spot import SpotPlace, SpotReading
from overlays.measure.watch.change import Between
from overlays.measure.watch.events import TakeEvent
from overlays.measure.watch.watch import Watch
from overlays.signal.frame import Frame

MOST_BYTES = 4 << 20
"""Of the newest frames of one pin: 450 of a spot of 48 pixels, 10 bits, 4:2:2; with eight pins 32
MiB in all."""


class FramesKept:
    """Of all pins of one watch. Belongs to the thread that follows the frames."""

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self._most = most_bytes
        self._like: dict[int, PinFrames] = {}
        self._samples: dict[int, dict[int, bytes]] = {}

    def take(self, frame: Frame, spots: Mapping[int, SpotReading], watch: Watch) -> None:
        """Keep the pins' codes of one frame more, and let go of what nothing is made of."""
        for pin, spot in spots.items():
            like = self._like_of(pin, frame, spot.place)
            samples = self._samples[pin]
            samples[frame.time_ns] = cut = like.cut(frame)
            excess = len(samples) - max(self._most // max(len(cut), 1), 1)
            if excess > 0:
                self._let_go(samples, excess, watch.made_of(pin))

    def _like_of(self, pin: int, frame: Frame, place: SpotPlace) -> PinFrames:
        like, known = PinFrames.like(frame, place), self._like.get(pin)
        if like != known:  # codes of another signal mean another light
            self._like[pin], self._samples[pin] = like, {}
        return like

    @staticmethod
    def _let_go(samples: dict[int, bytes], excess: int, needed: frozenset[int]) -> None:
        # The oldest first; those that are needed are few.
        gone: list[int] = []
        for time_ns in samples:
            if len(gone) >= excess:
                break
            if time_ns not in needed:
                gone.append(time_ns)
        for time_ns in gone:
            del samples[time_ns]

    def of(self, pin: int, means: Between | None) -> PinFrames | None:
        """The codes that means of a pin are made of, as far as they are there; else None."""
        like = self._like.get(pin)
        if like is None or means is None:
            return None
        return replace(like, samples=self._samples[pin]).only(means.times)

    def of_event(self, event: TakeEvent) -> dict[int, PinFrames]:
        """The same of all pins of an event, by their numbers."""
        found = {each.pin: self.of(each.pin, each.means) for each in event.pins}
        return {pin: kept for pin, kept in found.items() if kept is not None}
