"""Headerless files of raw 8-bit frames: .uyvy, .yuyv and .nv12, as grabbed off a capture device."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from firmware.clock import Clock
from firmware.errors import FeedFormatError, FeedOptionError
from firmware.feeds.base import Doubt, FeedInfo, FeedState, Pace, Settles
from firmware.feeds.decoding import check_file
from firmware.feeds.pacing import Pacer
from overlays.signal.frame import Frame, Planes, packed_422, semi_planar_420
from overlays.signal.signal import Signal, SignalOverride, Subsampling
from overlays.wording.read_number import short, size_in

EXTENSIONS = (".uyvy", ".yuyv", ".nv12")
STANDARD_SIZES = (
    (640, 360),
    (640, 480),
    (720, 480),
    (720, 576),
    (800, 480),
    (800, 600),
    (960, 540),
    (1024, 576),
    (1024, 768),
    (1280, 720),
    (1280, 1024),
    (1920, 1080),
    (1920, 1200),
    (2048, 1080),
    (2560, 1440),
    (3840, 2160),
    (4096, 2160),
)
"""Sizes a file without a header may have; common practice, no source."""
RATE = 25.0
"""Frames a second of a file that cannot say its own."""


@dataclass(frozen=True, slots=True)
class RawSpec:
    """A path and the size of its frames, None where it is to be told from the byte count."""

    path: str
    size: tuple[int, int] | None = None


def raw_spec(text: str) -> RawSpec | None:
    """Path and size of ``path.uyvy`` or ``path.uyvy:size=WxH``; None for other files.

    Raises
    ------
    FeedOptionError
        What stands behind the colon is no size.
    """
    if Path(text).suffix.lower() in EXTENSIONS:
        return RawSpec(text)
    path, colon, option = text.rpartition(":")
    if not colon or Path(path).suffix.lower() not in EXTENSIONS:
        return None
    key, _, value = option.partition("=")
    size = size_in(value)
    if key != "size" or size is None:
        raise FeedOptionError(f"{path}: {short(option)} is not understood; write size=1920x1080")
    return RawSpec(path, size)


def frame_bytes(extension: str, columns: int, rows: int) -> int:
    """Bytes of one frame."""
    pairs = (columns + 1) // 2
    if extension == ".nv12":
        return 2 * pairs * (rows + (rows + 1) // 2)
    return 4 * pairs * rows


DOUBTS = (
    Doubt(
        "a raw file does not say its range; taken as limited, override with --range", Settles.RANGE
    ),
    Doubt(
        "a raw file does not say its matrix; taken as BT.709, override with --matrix",
        Settles.MATRIX,
    ),
)


class RawFeed:
    """Raw frames of a file; see `firmware.feeds.base.Feed` for the contract.

    With Pace.LIVE the frames come 25 times a second, over and over.

    Raises
    ------
    FeedNotFoundError
        Nothing is at the path, or it cannot be read.
    FeedFormatError
        The byte count fits no size, or more than one, or not the size given.
    """

    def __init__(
        self,
        spec: RawSpec,
        *,
        clock: Clock,
        pace: Pace,
        override: SignalOverride = SignalOverride(),  # noqa: B008 - frozen
    ) -> None:
        place = check_file(spec.path)
        self._extension = place.suffix.lower()
        columns, rows = spec.size or _size_of(place, self._extension)
        self._rows, self._columns = rows, columns
        self._bytes = frame_bytes(self._extension, columns, rows)
        self._count, left_over = divmod(place.stat().st_size, self._bytes or 1)
        if self._count == 0 or left_over:
            raise FeedFormatError(
                f"{spec.path} holds {place.stat().st_size} bytes, no whole number of "
                f"{columns}x{rows} frames of {self._bytes}; it is cut short or of another size"
            )
        self._data = np.asarray(np.memmap(place, dtype=np.uint8, mode="r"))
        nv12 = self._extension == ".nv12"
        own = Signal(subsampling=Subsampling.S420 if nv12 else Subsampling.S422)
        self._signal = override.over(own)
        self._info = FeedInfo(
            name=spec.path,
            description=f"raw {self._extension[1:].upper()} frames, {columns}x{rows} 8-bit",
            columns=columns,
            rows=rows,
            signal=self._signal,
            rate=RATE,
            warnings=() if spec.size else (_guessed(columns, rows),),
            is_live=False,
            own=own,
            doubts=DOUBTS,
        )
        self._pace = pace
        self._pacer = Pacer(clock, pace, RATE)
        self._number = -1
        self._closed = False
        Frame(self._planes(0), self._signal)  # refuses a size too small at the door

    @property
    def info(self) -> FeedInfo:
        """What is known of the file; never changes."""
        return self._info

    def read(self, timeout_s: float) -> Frame | FeedState:
        """The next frame; with Pace.LIVE the one that is due, the first after the last."""
        if self._closed:
            return FeedState.GONE
        if self._pace is Pace.STEP and self._number + 1 >= self._count:
            return FeedState.ENDED
        due = self._pacer.due(self._number, timeout_s)
        if due <= self._number:
            return FeedState.NO_FRAME_YET
        self._number = due
        return Frame(
            self._planes(due % self._count),
            self._signal,
            number=due,
            time_ns=self._pacer.time_ns(due),
        )

    def release(self, frame: Frame) -> None:
        """Nothing to give back: frames are views on the mapped file."""

    def close(self) -> None:
        """Let go of the file; frames that are still held stay valid."""
        self._closed = True
        self._data = np.empty(0, dtype=np.uint8)

    def _planes(self, index: int) -> Planes:
        buffer = self._data[index * self._bytes : (index + 1) * self._bytes]
        if self._extension == ".nv12":
            return semi_planar_420(buffer, self._rows, self._columns)
        return packed_422(buffer, self._rows, self._columns, self._extension[1:].upper())


def _size_of(place: Path, extension: str) -> tuple[int, int]:
    """The one standard size whose frame has just as many bytes as the file."""
    found = place.stat().st_size
    fitting = [size for size in STANDARD_SIZES if frame_bytes(extension, *size) == found]
    if len(fitting) == 1:
        return fitting[0]
    why = (
        f"fits more than one size ({', '.join(f'{c}x{r}' for c, r in fitting)})"
        if fitting
        else "fits one frame of no standard size; it is cut short, or its size must be said"
    )
    raise FeedFormatError(f"{place}: {found} bytes {why}; write {place}:size=1920x1080")


def _guessed(columns: int, rows: int) -> str:
    return f"a raw file does not say its size; taken as {columns}x{rows} from its length"
