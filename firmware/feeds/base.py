"""The contract of a feed. One contract test runs over every feed that ships."""

from dataclasses import dataclass, replace
from enum import Enum, Flag, auto
from typing import Protocol, runtime_checkable

from firmware.feeds.checked import Checked, checked_device
from firmware.feeds.timecode import TimeCode
from overlays.signal.curves import Curve
from overlays.signal.frame import Frame
from overlays.signal.gamuts import Gamut
from overlays.signal.levels import Carriage
from overlays.signal.signal import Signal, SignalOverride


class FeedState(Enum):
    """Why a feed gives no frame just now; the value is what the screen says."""

    NO_FRAME_YET = "no frame yet"
    NO_SIGNAL = "no signal"
    NO_SYNC = "signal without sync"
    UNSUPPORTED = "signal in a format this input cannot take"
    UNPLUGGED = "nothing plugged in"
    ABSENT = "not there yet, looking for it"
    DAMAGED = "frames arrive damaged"
    ENDED = "end of the footage"
    GONE = "device gone"
    SILENT = "the device sends no pictures"
    """It streams without a word; it is started again and again."""
    CUT_OFF = "no stream from the network, connecting again"
    FAILED = "the device fails"
    """Its driver refuses what is asked of it; it is tried again and again."""


class Pace(Enum):
    """How a feed that could go faster than life hands out its frames."""

    LIVE = "live"
    """At its own rate, in a loop, newest frame first: for `run`."""
    STEP = "step"
    """Every frame in order, as fast as they are read, then ENDED: for `read` and tests."""


class Settles(Flag):
    """What must be said for a doubt to be settled."""

    RANGE = auto()
    MATRIX = auto()


@dataclass(frozen=True, slots=True)
class Doubt:
    """A sentence that is to be said until somebody says what it is about."""

    words: str
    settled_by: Settles
    of_matrix: str = ""
    """What is left to be said once the range is known; empty for all of it."""

    def left_open(self, override: SignalOverride) -> str:
        """What is still to be said; empty where nothing is."""
        of_range = Settles.RANGE in self.settled_by and override.range is None
        of_matrix = Settles.MATRIX in self.settled_by and override.matrix is None
        if not (of_range or of_matrix):
            return ""
        return self.words if of_range else self.of_matrix or self.words


@dataclass(frozen=True, slots=True)
class FeedInfo:
    """What is known of a feed before its first frame.

    Attributes
    ----------
    name:
        How the user asked for it.
    description:
        One phrase for a person ("1920x1080 10-bit 4:2:2, 25 frames a second").
    columns, rows:
        Size of the picture.
    signal:
        How its codes are to be read.
    rate:
        Frames a second; 0.0 for a still.
    warnings:
        What makes its readings less certain, each one sentence.
    curve, carriage:
        What the feed itself says of its curve (the bench knows, a file's tags may); None where it
        does not. Used only where the user names no profile and no curve.
    gamut:
        What the feed itself says of its primaries (the bench knows); None where it does not.
    timecode:
        Of its frames, where they have a place in a file; None where they have none.
    own:
        The signal as the feed itself says, where something was said against it when it was opened;
        else None.
    doubts:
        What makes its range and matrix less than certain, unless somebody says them.
    is_live:
        Whether its frames are of now, rather than of footage or stepped through.
    is_endless:
        Whether frames come for as long as they are asked for.
    is_simulated:
        Whether there is no camera behind it: said beside every reading.
    device:
        Which capture device it is, in words that stay the same; empty where it is none.
    takes_s:
        How long the feed itself needs for a frame, where that is longer than a frame lasts: it goes
        at its own pace then, and none of its frames is late. 0.0 where it kept up so far.
    checked:
        What a feed check found of that device; None where there was none.
    """

    name: str
    description: str
    columns: int
    rows: int
    signal: Signal
    rate: float
    warnings: tuple[str, ...] = ()
    curve: Curve | None = None
    carriage: Carriage | None = None
    gamut: Gamut | None = None
    timecode: TimeCode | None = None
    takes_s: float = 0.0
    own: Signal | None = None
    doubts: tuple[Doubt, ...] = ()
    is_live: bool = True
    is_endless: bool = False
    is_simulated: bool = False
    device: str = ""
    checked: Checked | None = None

    @property
    def words(self) -> str:
        """What it is, for a person, and when it was checked."""
        if self.checked is None:
            return self.description
        return f"{self.description}, feed check of {self.checked.date}"

    def rechecked(self) -> "FeedInfo":
        """The same with what a feed check has found of the device since; itself where nothing."""
        found = checked_device(self.device) if self.device else None
        return self if found == self.checked else replace(self, checked=found)

    def signal_with(self, override: SignalOverride, now: Signal | None = None) -> Signal:
        """How to read its codes where so much is said against it.

        `now` is the signal of a frame, which may have another depth than the feed had first.
        """
        own = self.own or self.signal
        return override.over(replace(now or own, range=own.range, matrix=own.matrix))

    def warnings_with(self, override: SignalOverride) -> tuple[str, ...]:
        """What makes its readings less certain where so much is said against it."""
        left = (doubt.left_open(override) for doubt in self.doubts)
        return (*self.warnings, *(words for words in left if words))


@runtime_checkable
class Feed(Protocol):
    """A source of frames.

    A feed is opened by its constructor or factory (which raises a `FirmwareError` with one clear
    sentence), read from one thread, and closed once; closing twice is allowed.
    """

    @property
    def info(self) -> FeedInfo:
        """What is known of the feed now (a live feed may change it between frames)."""
        ...

    def read(self, timeout_s: float) -> Frame | FeedState:
        """The next frame, or why there is none, within `timeout_s` seconds at the most.

        The frame's buffer is lent: it stays valid and unchanged until `release` is called with the
        frame. A feed may have only a few buffers, so every frame must be released.
        """
        ...

    def release(self, frame: Frame) -> None:
        """Give a lent frame back; giving one back twice is harmless."""
        ...

    def close(self) -> None:
        """Let go of device and buffers; later reads answer GONE."""
        ...
