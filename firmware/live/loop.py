"""The live loop: one thread takes frames, one measures, the caller's draws and reads controls.

Newest frame wins at both hand-overs, and what is passed over is counted. Frames are lent by the
feed: each is given back exactly once, when it is passed over or no longer shown.
"""

from dataclasses import replace

from firmware.actions import Action, PictureSize
from firmware.clock import Clock
from firmware.controls.keyboard import help_entries
from firmware.controls.panel import Board
from firmware.feeds.base import Feed, FeedState
from firmware.health.stats import LOOKS_A_MINUTE, Stats
from firmware.instruments.scene import Frames
from firmware.live.ceilings import Ceilings
from firmware.live.freshness import Freshness, look
from firmware.live.held import kept
from firmware.live.hooks import Hooks
from firmware.live.measurer import Measurer, Orders, memories_of, orders_of
from firmware.live.state import Running, State, after
from firmware.live.stripes_shown import band_words
from firmware.live.suspicions import Suspicions
from firmware.opening.read_with import read_with
from firmware.system.threads import Newest, Worker, stop_all
from overlays.draw.moment.shown import Alert, Face, Measured, Shown, Source, StripeShown
from overlays.signal.frame import Frame

READ_S = 0.1
"""Longest wait for a frame in one turn of the capturing thread."""

TURN_S = 0.02
"""Longest wait of the drawing thread: controls and the feed's state are looked at so often."""

NOTE_NS = 3_000_000_000
"""How long a note stays on the screen."""

TURN_NS = 5_000_000_000
"""How long a warning stays where others wait for its place: two lines are read twice in that."""

MEASURING = "measuring the first frame"
WARM_NS = 3_000_000_000
"""From the first frame shown until kernels are loaded and buffers made."""

MEMORY_EVERY_NS = 60_000_000_000 // LOOKS_A_MINUTE

OVER = frozenset({FeedState.ENDED, FeedState.GONE})


class Loop:
    """One run on an open feed."""

    def __init__(
        self,
        feed: Feed,
        state: State,
        board: Board,
        clock: Clock,
        warnings: tuple[str, ...] = (),
        hooks: Hooks | None = None,
    ) -> None:
        self._feed, self._board, self._clock = feed, board, clock
        self._warnings, self._hooks = warnings, hooks or Hooks()
        self.state = state
        self.stats = Stats()
        self.stats.is_settling = True
        self._frames: Newest[Frame] = Newest()
        self._ready: Newest[Measured] = Newest()
        registry, memories, ceilings = state.registry, memories_of(state.registry), Ceilings()
        self._measurer = Measurer(clock, self.stats, registry, memories, ceilings=ceilings)
        self._held_measurer = Measurer(clock, Stats(), registry, memories, Frames.HELD, ceilings)
        self._derived_from = (state.in_use, state.is_guess, feed.info)
        self._read_with = read_with(
            state.in_use, feed.info, is_guess=state.is_guess, override=state.override
        )
        self._orders: Orders = orders_of(state, self._read_with)
        self._arrived_ns: int | None = None
        self._feed_state: FeedState | None = None
        self._current: Measured | None = None
        self._readable: Measured | None = None
        self._held: Frame | None = None
        self._note: tuple[str, int] = ("", 0)
        self._alert: Alert | None = None
        self._painted: tuple[object, ...] = ()
        self._suspicions = Suspicions()
        self._memory_ns: int | None = None
        self._warm = False
        self._capture = Worker("capture", self._take_frame)
        self._measure = Worker("measure", self._measure_frame)

    def run(self, frames: int | None = None) -> Face:
        """Until quit, until so many frames are shown, or, with `frames`, until no more can come.

        Also until the feed is to give way to another, where a hook says so.

        Returns the last face.

        Raises
        ------
        ThreadStuckError
            A thread did not stop in time.
        """
        self._capture.start()
        self._measure.start()
        face = Face.STARTING
        try:
            while self.state.running is Running.ON and not self._hooks.is_over():
                face = self.turn()
                if frames is not None and self._enough(frames):
                    break
        finally:
            stop_all(self._capture, self._measure)
            self._let_go()
        return face

    def _enough(self, frames: int) -> bool:
        return self.stats.frames_shown >= frames or self._feed_state in OVER

    # The capturing thread

    def _take_frame(self) -> None:
        got = self._feed.read(READ_S)
        if isinstance(got, Frame):
            self.stats.frames_in += 1
            self._arrived_ns = self._clock.now_ns()
            self._feed_state = None
            left = self._frames.put(got)
            if left is not None:
                self._feed.release(left)
                self.stats.dropped_before_measuring += 1
            return
        self._feed_state = got
        if got is not FeedState.NO_FRAME_YET:
            self._capture.pause(READ_S / 2.0)  # a feed that answers at once must not spin

    # The measuring thread

    def _measure_frame(self) -> None:
        frame = self._frames.take(READ_S)
        if frame is None:
            return
        measured = self._measurer.measure(frame, self._orders)
        self.stats.frames_measured += 1
        left = self._ready.put(measured)
        if left is not None:
            self._return(left)
            self.stats.dropped_before_showing += 1

    def _return(self, measured: Measured) -> None:
        self._feed.release(measured.frame)
        self._measurer.give_back(measured.census)

    # The drawing thread

    def turn(self) -> Face:
        """Controls, the newest frame if there is one, and the screen if anything changed."""
        for fault in (self._capture.fault, self._measure.fault):
            if fault is not None:
                raise fault
        self._obey(self._board.actions())
        fresh = self._ready.take(TURN_S)
        if fresh is not None:
            self._accept(fresh)
        now_ns = self._clock.now_ns()
        held = None if self._held is None else self._held.number
        seen = look(now_ns, self._arrived_ns, self._feed_state, held)
        if self._current is None and seen.face is not Face.LOST:
            seen = Freshness(Face.STARTING, self._hooks.preparing() or seen.words or MEASURING)
        if self._note[0] and now_ns >= self._note[1]:
            self._note = ("", 0)
        self._alert = self._hooks.alert()
        key = (self.state, seen, self._note, self._alert, now_ns // TURN_NS)
        new = fresh is not None and self._held is None
        if new or key != self._painted:
            self._paint(seen, fresh if new else None, now_ns // TURN_NS)
            self._painted = key
        self._hooks.turn(seen.face)
        self._watch_memory(now_ns)
        return seen.face

    def _obey(self, actions: list[Action]) -> None:
        before = self.state
        for action in actions:
            self.state = after(self.state, action)
        if self.state.held and self._held is None and self._current is not None:
            self._held = kept(self._current.frame)
        elif not self.state.held and self._held is not None:
            self._held = None
        if self.state.held and self._held is None:
            self.state = replace(self.state, held=False)  # there is nothing to hold yet
        if self.state.screenshots != before.screenshots:
            self.say(self._hooks.screenshot(self._readable))
        if self.state.kept_clips != before.kept_clips:
            top = None if self._readable is None else self._readable.yard.flat_top
            self.say(self._hooks.keep_clip(self.state.in_use, top))
        self._suspicions.dismiss(self.state.dismissed)
        self._take_orders()
        if self._held is not None and self.state != before:
            self._measure_held(self._held)

    def _take_orders(self) -> None:
        """What the state asks for now, with what its profile makes of the feed as it is now."""
        state, known, info = self.state, self._read_with, self._feed.info
        if self._derived_from != (state.in_use, state.is_guess, info):
            self._derived_from = (state.in_use, state.is_guess, info)
            made = read_with(state.in_use, info, is_guess=state.is_guess, override=state.override)
            # The same one as before where nothing of it has changed: numbers are then kept.
            self._read_with = known if made == known else made
        self._orders = orders_of(state, self._read_with)

    def say(self, words: str) -> None:
        """Show a note for a few seconds."""
        self._note = (words, self._clock.now_ns() + NOTE_NS)

    def _measure_held(self, frame: Frame) -> None:
        """A held frame is read again where the spot, the profile or the stripes have changed."""
        measured = self._held_measurer.measure(frame, self._orders)
        self._show(measured)

    def _accept(self, fresh: Measured) -> None:
        if self._held is not None:
            self._return(fresh)
            return
        self._show(fresh)
        self._suspicions.see(fresh)
        frame = fresh.frame
        if (frame.columns, frame.rows) != (self.state.columns, self.state.rows):
            self.state = after(self.state, PictureSize(frame.columns, frame.rows))
            self._take_orders()

    def _show(self, measured: Measured) -> None:
        """Take a measurement's place; the feed gets the frame before back (harmless on a copy)."""
        if self._current is not None and self._current is not measured:
            self._return(self._current)
        self._current = measured

    def _paint(self, seen: Freshness, fresh: Measured | None, turn: int) -> None:
        start_ns = self._clock.now_ns()
        shown = self._shown(seen, turn)
        self._readable = shown.readable
        self._board.paint(shown)
        painted_ns = self._clock.now_ns()
        self._board.flip()
        flipped_ns = self._clock.now_ns()
        if fresh is None:
            return
        stats = self.stats
        stats.stages["paint"].add_ns(painted_ns - start_ns)
        stats.stages["flip"].add_ns(flipped_ns - painted_ns)
        stats.age.add_ns(flipped_ns - fresh.frame.time_ns)
        stats.frames_shown += 1
        if stats.frames_shown == 1:
            self._hooks.first()

    def _shown(self, seen: Freshness, turn: int) -> Shown:
        state, info = self.state, self._feed.info
        measured = self._current
        if measured is None:
            stripes = tuple(StripeShown(band_words(band), None) for band in state.stripes)
        else:
            stripes = measured.stripes
        profile, feed = state.in_use, f"{info.name}: {info.words}"
        return Shown(
            view=state.view,
            trace=self._orders.trace,
            measured=measured,
            face=seen.face,
            face_words=seen.words,
            source=Source(profile.title, profile.curve.name, feed, info.is_simulated),
            stripes=stripes,
            selected=state.selected,
            painted=state.painted,
            warnings=(*self._read_with.said, *self._suspicions.words, *self._warnings),
            note=self._note[0],
            alert=self._alert,
            help=help_entries() if state.help else (),
            turn=turn,
        )

    def _watch_memory(self, now_ns: int) -> None:
        if self._memory_ns is None:
            if self.stats.frames_shown > 0:
                self._memory_ns = now_ns + WARM_NS
        elif now_ns >= self._memory_ns:
            if not self._warm:
                self._warm = True
                self._hooks.warm()
                self.stats.note_warm()
            self._memory_ns = now_ns + MEMORY_EVERY_NS
            self.stats.note_memory()

    def _let_go(self) -> None:
        """Give every frame back that is still lent."""
        waiting = self._frames.take(0.0)
        if waiting is not None:
            self._feed.release(waiting)
        for measured in (self._ready.take(0.0), self._current):
            if measured is not None:
                self._return(measured)
