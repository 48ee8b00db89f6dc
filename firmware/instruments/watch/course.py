"""The frames of a feed as a command watches them: one after another, until it is enough."""

from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from firmware.clock import Clock
from firmware.errors import FrameMissingError
from firmware.feeds.base import FeedInfo, FeedState
from firmware.instruments.desk import Desk, PinPlace, pins_of
from firmware.instruments.scene import Scene
from firmware.instruments.watch.answer import Told
from firmware.instruments.watch.following import Following, WatchMemory
from firmware.instruments.watch.lines import event_line, status_line
from firmware.opening.beside import UNCOUNTED
from firmware.opening.one_frame import PATIENCE_S
from firmware.opening.read_with import ReadWith
from firmware.opening.session import Session
from firmware.written.spot_place import CENTRE, WrittenSpot, usual_size
from overlays.errors import OverlayError
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.ceiling_memory import CeilingMemory
from overlays.measure.range.range import read_range
from overlays.measure.watch.change import Three
from overlays.signal.frame import Frame
from overlays.signal.signal import Signal

LINE_S = 10.0
"""From one line that nothing happened to the next."""
WAIT_S = 0.5
LOOK_EVERY_NS = 1_000_000_000
"""Where the camera clips is looked for once a second of the feed, as on the screen."""
OVER = frozenset({FeedState.ENDED, FeedState.GONE})

ANEW = "the picture changed its size: the references were learnt anew"


@dataclass(slots=True, eq=False)
class _Ruler:
    """What frames of one kind are measured with, and what was found of the camera's ceilings."""

    of: tuple[ReadWith, Signal, int]
    base: Yardstick
    yard: Yardstick
    memory: CeilingMemory = field(default_factory=CeilingMemory)
    looked_ns: int | None = None

    def look(self, frame: Frame) -> None:
        """Look for the ceilings where that is due: a pin that is at one cannot be followed."""
        if self.looked_ns is not None and 0 <= frame.time_ns - self.looked_ns < LOOK_EVERY_NS:
            return
        self.looked_ns = frame.time_ns
        speck = self.of[0].profile.speck_percent
        try:
            found = read_range(frame, self.base, UNCOUNTED, speck, known=self.yard.flat_top)
        except OverlayError:
            return
        known = self.memory.see(found.flat_top_here, found.peaks_percent)
        self.yard = self.base.under(known, found.doubts)


@dataclass(slots=True, eq=False)
class Course:
    """Frame after frame of an open feed, as scenes of which only the pins are read.

    Parameters
    ----------
    session, clock:
        The feed and the profile to read it with, and the feed's clock.
    written:
        Pins as written; where there are none the profile's, else the centre.
    """

    session: Session
    clock: Clock
    written: Sequence[WrittenSpot]
    _frames: int = 0
    _first_ns: int = 0
    _last: Scene | None = None
    _known: tuple[FeedInfo, ReadWith] | None = None
    _ruler: _Ruler | None = None

    def scenes(self, frames: int | None, seconds: float | None) -> Generator[Scene, None, None]:
        """A scene a frame, each valid until the next is asked for.

        Ends after so many frames or seconds of the feed, with the feed, or with its silence of ten
        seconds where an end was asked for.

        Raises
        ------
        SpotOutsideError
            A pin does not lie wholly inside the picture.
        """
        feed, is_limited = self.session.feed, frames is not None or seconds is not None
        heard_ns = self.clock.now_ns()
        while not self._is_over(frames, seconds):
            got = feed.read(WAIT_S)
            if not isinstance(got, Frame):
                silent_ns = self.clock.now_ns() - heard_ns
                if got in OVER or (is_limited and silent_ns > PATIENCE_S * 1e9):
                    return
                continue
            heard_ns = self.clock.now_ns()
            try:
                yield self._scene(got)
            finally:
                feed.release(got)

    def end(self) -> Scene:
        """The last frame, with all that is known of the feed now. Its pixels are gone.

        Raises
        ------
        FrameMissingError
            There was none.
        """
        if self._last is None:
            raise FrameMissingError(
                f"{self.session.feed.info.name}: no frame came; check the source and the cable"
            )
        return replace(self._last, read_with=self._read_with())

    def _is_over(self, frames: int | None, seconds: float | None) -> bool:
        if self._last is None:
            return False
        passed_s = (self._last.frame.time_ns - self._first_ns) / 1e9
        enough = frames is not None and self._frames >= frames
        return enough or (seconds is not None and passed_s >= seconds)

    def _scene(self, frame: Frame) -> Scene:
        read_with = self._read_with()
        frame = read_with.frame(frame)
        desk = self._desk(frame)
        if self._last is None:
            self._first_ns = frame.time_ns
        self._frames += 1
        self._last = Scene(
            frame=frame,
            yard=self._yardstick(frame, read_with),
            census=UNCOUNTED,
            read_with=read_with,
            desk=desk,
            place=desk.pins[0].place,
            spot=None,
            range=None,
            now_ns=self.clock.now_ns(),
            wall_s=self.clock.wall_s(),
        )
        return self._last

    def _desk(self, frame: Frame) -> Desk:
        """The pins where they are on this picture."""
        columns, rows, last = frame.columns, frame.rows, self._last
        if last is not None and (last.frame.columns, last.frame.rows) == (columns, rows):
            return last.desk
        profile = self.session.profile
        if profile.pins and not self.written:
            return Desk(pins_of(profile, columns, rows))
        size, written = usual_size(rows, profile.spot_percent), self.written or [CENTRE]
        return Desk(tuple(PinPlace("", each.place(columns, rows, size)) for each in written))

    def _read_with(self) -> ReadWith:
        """What the feed is read with; derived anew where the feed says something else."""
        info = self.session.feed.info
        if self._known is None or self._known[0] != info:
            self._known = info, self.session.read_with()
        return self._known[1]

    def _yardstick(self, frame: Frame, read_with: ReadWith) -> Yardstick:
        known, of = self._ruler, (read_with, frame.signal, frame.shift)
        if known is None or known.of != of:
            base = read_with.yardstick(frame.signal, frame.shift)
            known = self._ruler = _Ruler(of, base, base)
        known.look(frame)
        return known.yard


@dataclass(slots=True, eq=False)
class Teller:
    """Says events as they come, and now and then that there was none.

    Attributes
    ----------
    say:
        Takes a line.
    told:
        All events so far.
    warnings:
        What befell the watch itself.
    """

    say: Callable[[str], None]
    told: list[Told] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    _next_s: float = LINE_S
    _following: Following | None = None
    _off: Three | None = None

    def tell(self, memory: WatchMemory) -> None:
        """What the last frame brought."""
        following, timing = memory.following, memory.timing
        if following is not self._following:
            if self._following is not None:
                self.finish(memory)
                self.warnings.append(ANEW)
            self._following = following
        if following is None:
            return
        is_still = self._is_still(following)
        if following.fresh:
            self._tell(following)
        elif timing.seconds >= self._next_s and is_still:
            is_told = bool(following.events)
            self.say(status_line(following.watch, timing, is_told=is_told))
            self._next_s = timing.seconds + LINE_S

    def _is_still(self, following: Following) -> bool:
        """Whether nothing moved with this frame: what it was is known only some frames later."""
        watch, before = following.watch, self._off
        worst = watch.worst_off_stops
        self._off = None if worst is None else worst[1]
        if before is None or self._off is None:
            return True
        moved = np.abs(np.subtract(self._off, before))
        return not bool((moved > 0.5 * watch.tolerance.stops).any())

    def finish(self, memory: WatchMemory) -> None:
        """What was still held back, at the end of a watch."""
        if self._following is not None:
            self._following.finish(memory.timing)
            self._tell(self._following)

    def _tell(self, following: Following) -> None:
        for each in following.fresh:
            self.told.append(each)
            self.say(event_line(each))
