"""One frame of a feed to look at, for the commands that answer once."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from firmware.clock import Clock
from firmware.feeds.base import FeedInfo, Pace
from firmware.opening.one_frame import take_frame
from firmware.opening.session import open_session
from firmware.profiles.model import Profile
from firmware.written.options import Overrides
from firmware.written.places import CENTRE, WrittenSpot, parse_spot, usual_size
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.frame import Frame


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """A lent frame and what it is read with."""

    frame: Frame
    yard: Yardstick
    profile: Profile
    info: FeedInfo

    def places(self, written: Sequence[WrittenSpot]) -> list[SpotPlace]:
        """Spots on this picture; raises `SpotOutsideError`."""
        size = usual_size(self.frame.rows, self.profile.spot_percent)
        return [each.place(self.frame.columns, self.frame.rows, size) for each in written]

    @property
    def warnings(self) -> list[str]:
        """What makes every reading of it less certain."""
        return [*self.info.warnings, *self.frame.notes]


def written_spots(texts: Sequence[str]) -> list[WrittenSpot]:
    """Spots as written; the centre where there are none. Raises `ArgumentError`."""
    return [parse_spot(text) for text in texts] or [CENTRE]


@contextmanager
def looking(
    feed: str, profile: str | None, overrides: Overrides, number: int, clock: Clock
) -> Iterator[Look]:
    """Open a feed, lend one frame of it, and close it again.

    Raises
    ------
    FirmwareError, OverlayError
        The feed, the profile or the frame is not to be had.
    """
    session = open_session(feed, profile, overrides, clock=clock, pace=Pace.STEP)
    try:
        frame = take_frame(session.feed, number, clock)
        try:
            yard = session.profile.yardstick(frame.signal, frame.shift)
            yield Look(frame, yard, session.profile, session.info)
        finally:
            session.feed.release(frame)
    finally:
        session.feed.close()
