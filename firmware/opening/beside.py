"""What the frames beside the one asked for tell of a camera's ceilings.

A ceiling shows in one frame and not in the next: a lamp comes into the picture, noise hides a pile.
A feed that runs keeps what was found (`overlays.measure.range.ceiling_memory`); so does a command
on footage, over the frames just before and behind the one it reads.
"""

from dataclasses import dataclass, field

import numpy as np

from firmware.feeds.base import Feed
from firmware.opening.read_with import ReadWith
from overlays.errors import OverlayError
from overlays.measure.counting.census import Census
from overlays.measure.counting.clip import FlatTop
from overlays.measure.range.ceiling_memory import CeilingMemory
from overlays.measure.range.range import read_range
from overlays.measure.range.range_reading import RangeReading
from overlays.signal.frame import Frame

EACH_SIDE = 2
"""Frames before and behind that are looked at. Noise is new in each, so that what one in two shows
is missed in one of 32; a look costs as much as the reading itself."""
WAIT_S = 1.0

UNCOUNTED = Census(8, 1, 0, np.zeros((0, 256), np.uint16), np.zeros(0, np.uint64))
"""Of a frame that is looked at for its ceilings alone: counting every pixel would take longer."""


@dataclass(slots=True, eq=False)
class Beside:
    """Ceilings that frames beside one show.

    Parameters
    ----------
    read_with:
        What those frames are read with.
    """

    read_with: ReadWith
    _memory: CeilingMemory = field(default_factory=CeilingMemory)

    @property
    def known(self) -> FlatTop | None:
        """What is known so far."""
        return self._memory.known

    def look(self, frame: Frame) -> None:
        """Take in a frame, lent or not; one that cannot be read tells nothing."""
        frame = self.read_with.frame(frame)
        yard = self.read_with.yardstick(frame.signal, frame.shift)
        speck = self.read_with.profile.speck_percent
        try:
            found = read_range(frame, yard, UNCOUNTED, speck, known=self.known)
        except OverlayError:
            return
        self._memory.see(found.flat_top_here, found.peaks_percent)

    def look_on(self, feed: Feed) -> None:
        """Take in the frames that come next, as far as there are any."""
        for _ in range(EACH_SIDE):
            got = feed.read(WAIT_S)
            if not isinstance(got, Frame):
                return
            try:
                self.look(got)
            finally:
                feed.release(got)

    def is_refuted_by(self, found: RangeReading) -> bool:
        """Whether a frame shows light above what was known: then it was no ceiling, and is gone."""
        before = self.known
        if before is None:
            return False
        now = self._memory.see(found.flat_top_here, found.peaks_percent)
        return now is None or now.channels != before.channels


def has_frames_beside(feed: Feed) -> bool:
    """Whether the frames of a feed are footage: several, of a camera, and not of now."""
    info = feed.info
    return not info.is_live and not info.is_endless and info.rate > 0.0
