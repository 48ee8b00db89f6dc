"""Footage: a video file as a feed, in the very codes its decoder gives."""

from collections import deque
from dataclasses import dataclass, replace

import av

from firmware.clock import Clock
from firmware.errors import FeedFormatError
from firmware.feeds.base import FeedInfo, FeedState, Pace
from firmware.feeds.decoding import (
    INTERLACED,
    codec_of,
    faults_of,
    notes_of,
    other_streams,
    reading_of,
    views_of,
)
from firmware.feeds.pacing import Playhead
from firmware.feeds.pixel_formats import PixelFormat
from firmware.feeds.reel import Picture, Reel
from firmware.feeds.start_code import start_code
from firmware.feeds.tags import Reading
from firmware.feeds.turning import AsShown, as_shown, turn_of
from overlays.signal.frame import Frame
from overlays.signal.signal import Components, SignalOverride

UNEVEN = " on the average, unevenly"
SKIPPED_AT_MOST = 8
"""Frames a single read decodes without showing them to catch up; then playing slips instead."""
CATCHING_UP_NS = 200_000_000
"""Longest that a read does so: what decodes more slowly than it plays is never caught up with."""
HEAVY = (
    "it decodes more slowly here than it plays: every picture of it is shown, at the pace of this "
    "machine"
)
"""Said of a file with its path before it."""
LOOKED_BACK = 4
"""Pictures that tell how long decoding takes; more would tell of a change too late."""
LONGER_BY = 1.5
"""So much longer than was said is said anew."""
LONGEST_STILL_NS = 10_000_000_000
"""A picture that stands for longer than this is not shown for longer where footage is played."""


@dataclass(frozen=True, slots=True)
class _Due:
    """A picture, and when it is due: times of a file that goes round and round only go forward."""

    picture: Picture
    at_ns: int


class FootageFeed:
    """A video file; see `firmware.feeds.base.Feed` for the contract.

    Frames have the times that the file gives its pictures, however uneven.

    Raises
    ------
    FeedNotFoundError
        Nothing is at the path, or it cannot be read.
    FeedFormatError
        It is no video, holds no frame, or its pictures cannot be measured.
    """

    def __init__(
        self,
        path: str,
        *,
        clock: Clock,
        pace: Pace,
        override: SignalOverride = SignalOverride(),  # noqa: B008 - frozen
    ) -> None:
        self._path, self._pace, self._override, self._clock = path, pace, override, clock
        self._reel = Reel(path)
        self._took: deque[tuple[int, int]] = deque(maxlen=LOOKED_BACK)
        try:
            first = self._first()
            rate, container = self._reel.rate, self._reel.container
            self._timecode, self._doubts = start_code(container, self._reel.stream, rate, path)
            self._doubts += other_streams(container, path)
            self._info = self._describe(first.decoded)
            self._say_pace()
        except BaseException:
            self._reel.close()
            raise
        self._playhead = Playhead(clock, pace)
        self._number, self._closed = -1, False
        self._last = _Due(first, 0)
        self._waiting: _Due | None = self._last

    @property
    def info(self) -> FeedInfo:
        """What is known of the footage; changes where it turns out to be damaged or uneven."""
        return self._info

    def read(self, timeout_s: float) -> Frame | FeedState:
        """The next frame: with Pace.LIVE when the file wants it, and over again at its end.

        Raises
        ------
        FeedFormatError
            The pictures turn into some that cannot be measured.
        """
        if self._closed:
            return FeedState.GONE
        due = self._waiting or self._next()
        if due is None:
            return FeedState.ENDED
        self._waiting = due
        if not self._playhead.is_due(due.at_ns, timeout_s):
            return FeedState.NO_FRAME_YET
        due, self._waiting = self._caught_up(due)
        return self._frame(due)

    def release(self, frame: Frame) -> None:
        """Nothing to give back: the decoder's buffer goes when the last view of it goes."""

    def close(self) -> None:
        """Close the file; frames that are still held stay valid."""
        if not self._closed:
            self._closed = True
            self._reel.close()

    def _first(self) -> Picture:
        picture = self._decoded()
        if picture is None:
            raise FeedFormatError(
                f"{self._path} holds no frame that can be decoded; it is cut short or empty"
            )
        return picture

    def _caught_up(self, due: _Due) -> tuple[_Due, _Due | None]:
        """The newest frame that is due, and one after it that is not yet, if it was looked for."""
        self._number += 1
        if self._pace is Pace.STEP:
            return due, None
        skipped, began_ns = 0, self._clock.now_ns()
        while self._playhead.is_due(due.at_ns + due.picture.lasts_ns, 0.0):
            is_much = skipped == SKIPPED_AT_MOST
            is_much |= self._clock.now_ns() - began_ns > CATCHING_UP_NS
            if is_much or self._is_heavy:
                self._playhead.slip_to(due.at_ns)
                break
            following = self._next()
            if following is None or not self._playhead.is_due(following.at_ns, 0.0):
                return due, following
            due, skipped = following, skipped + 1
            self._number += 1
        return due, None

    def _next(self) -> _Due | None:
        """The next picture; None at the end of footage that is stepped through."""
        picture, last = self._decoded(), self._last
        if picture is None:
            self._at_end()
            if self._pace is Pace.LIVE:
                self._reel.close()
                self._reel = Reel(self._path)
                picture = self._decoded()
        if picture is None:
            return None
        self._say_pace()
        going_on = picture.at_ns > last.picture.at_ns
        step_ns = picture.at_ns - last.picture.at_ns if going_on else last.picture.lasts_ns
        if self._pace is Pace.LIVE:
            step_ns = min(step_ns, LONGEST_STILL_NS)
        self._last = _Due(picture, last.at_ns + step_ns)
        return self._last

    def _decoded(self) -> Picture | None:
        began_ns = self._clock.now_ns()
        picture = self._reel.next()
        if picture is not None:
            self._took.append((self._clock.now_ns() - began_ns, picture.lasts_ns))
        return picture

    @property
    def _is_heavy(self) -> bool:
        """Whether decoding takes longer than playing: what is skipped then is never made up for."""
        return sum(took for took, _ in self._took) > sum(lasts for _, lasts in self._took)

    def _say_pace(self) -> None:
        """How long a picture takes, and in words that it is slow once several were.

        What was said stays: with each change all that is known of the feed begins anew.
        """
        longest_s = max(took for took, _ in self._took) / 1e9 if self._is_heavy else 0.0
        if longest_s > LONGER_BY * self._info.takes_s:
            self._info = replace(self._info, takes_s=longest_s)
        if longest_s and self._pace is Pace.LIVE and len(self._took) == LOOKED_BACK:
            self._warn(f"{self._path}: {HEAVY}")

    def _at_end(self) -> None:
        """Say so once if there was less in the file than it promised."""
        reel, missing = self._reel, self._reel.missing_s
        if reel.is_damaged:
            self._warn("the file is damaged: some of its frames could not be decoded")
        if missing is not None:
            self._warn(
                f"the file is cut short: its pictures end after {missing[0]:.2f} s of the "
                f"{missing[1]:.2f} s it announces"
            )

    def _warn(self, sentence: str) -> None:
        if sentence not in self._info.warnings:
            self._info = replace(self._info, warnings=(*self._info.warnings, sentence))

    def _frame(self, due: _Due) -> Frame:
        decoded, reel = due.picture.decoded, self._reel
        pixels, reading, seen = self._read(decoded)
        rows, columns = seen.planes[0].shape
        if (columns, rows) != (self._info.columns, self._info.rows):
            self._info = replace(self._describe(decoded), takes_s=self._info.takes_s)
        if reel.is_uneven:
            self._say_uneven()
        return Frame(
            seen.planes,
            reading.signal,
            pixels.shift,
            self._number,
            self._playhead.time_ns(due.at_ns),
            notes_of(decoded),
            self._timecode.at_s(due.picture.at_ns / 1e9),
        )

    def _read(self, decoded: av.VideoFrame) -> tuple[PixelFormat, Reading, AsShown]:
        """How a picture's samples are to be read, and its planes as they are to be shown."""
        path = self._path
        pixels, reading = reading_of(decoded, self._reel.stream, self._override, path)
        planes, subsampling = views_of(decoded, pixels), reading.signal.subsampling
        return pixels, reading, as_shown(planes, turn_of(decoded), subsampling, path)

    def _say_uneven(self) -> None:
        """That frames do not come at the file's one rate; known only once some have come."""
        description = self._info.description
        if not description.endswith(UNEVEN):
            self._info = replace(self._info, description=f"{description}{UNEVEN}")

    def _describe(self, decoded: av.VideoFrame) -> FeedInfo:
        stream, path, rate = self._reel.stream, self._path, self._reel.rate
        with faults_of(path):
            _, reading, seen = self._read(decoded)
        signal = reading.signal
        rgb = signal.components is Components.RGB
        kind = signal.components.value if rgb else signal.subsampling.value
        warnings = (*reading.warnings, *self._doubts)
        if INTERLACED in notes_of(decoded):
            warnings = (*warnings, f"{path} is {INTERLACED}")
        warnings += seen.warnings
        rows, columns = seen.planes[0].shape
        asked = f", {seen.words} as the file asks" if seen.words else ""
        return FeedInfo(
            name=path,
            description=(
                f"{codec_of(stream)}, {columns}x{rows} {signal.bits}-bit {kind}, {rate:g} frames a "
                f"second{asked}"
            ),
            columns=columns,
            rows=rows,
            signal=signal,
            rate=rate,
            warnings=warnings,
            is_live=False,
            own=reading.own,
            doubts=reading.doubts,
            curve=reading.curve,
            carriage=reading.carriage,
            gamut=reading.gamut,
            timecode=self._timecode,
        )
