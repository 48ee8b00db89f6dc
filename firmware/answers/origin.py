"""Where an answer comes from: what outlives the frame."""

from dataclasses import dataclass

from firmware.feeds.base import FeedInfo
from firmware.opening.read_with import ReadWith
from firmware.profiles.model import NO_PROFILE, Profile
from overlays.signal.frame import Frame
from overlays.signal.gamuts import Gamut
from overlays.signal.signal import Signal


@dataclass(frozen=True, slots=True)
class Origin:
    """Where an answer comes from: what outlives the frame.

    Attributes
    ----------
    info:
        Of the feed; its warnings are those of every reading.
    profile, gamut:
        What the frame was read with.
    signal, columns, rows, number:
        Of the frame.
    timecode:
        Of the frame; None where the feed's frames have none.
    warnings:
        What makes every reading of it less certain: of feed, profile and frame.
    gamut_warnings:
        What a reading of colour should say besides.
    """

    info: FeedInfo
    profile: Profile
    gamut: Gamut
    signal: Signal
    columns: int
    rows: int
    number: int
    warnings: tuple[str, ...] = ()
    gamut_warnings: tuple[str, ...] = ()
    timecode: str | None = None

    @property
    def feed_name(self) -> str:
        """The feed as it was asked for; said beside it where no camera is behind it."""
        return f"{self.info.name} (simulated)" if self.info.is_simulated else self.info.name

    @property
    def profile_name(self) -> str | None:
        """Name of the profile; None where only a curve is known."""
        return None if self.profile.name == NO_PROFILE else self.profile.name


def origin_of(frame: Frame, read_with: ReadWith) -> Origin:
    """What an answer keeps of a frame and of what it is read with."""
    notes = [n for n in frame.notes if not any(n in w for w in read_with.info.warnings)]
    return Origin(
        read_with.info,
        read_with.profile,
        read_with.gamut,
        frame.signal,
        frame.columns,
        frame.rows,
        frame.number,
        tuple(dict.fromkeys([*read_with.warnings, *notes])),
        read_with.gamut_warnings,
        None if read_with.info.timecode is None else frame.timecode,
    )
