"""The live loop: one thread takes frames, one measures, the caller's draws and reads controls.

Newest frame wins at both hand-overs, and what is passed over is counted. Frames are lent by the
feed: each is given back exactly once, when it is passed over or no longer shown. Live is what is on
the screen only while the frame it shows is fresh, whatever else comes in meanwhile.
"""

from dataclasses import replace

from firmware.actions import Action, PictureSize
from firmware.clock import Clock
from firmware.controls.panel import Board
from firmware.feeds.base import Feed, FeedState
from firmware.health.stats import Stats
from firmware.instruments.scene import Frames
from firmware.live.announcing import Announcing
from firmware.live.answering import answered
from firmware.live.freshness import Freshness
from firmware.live.going import sent
from firmware.live.hands import Hands
from firmware.live.hooks import Hooks
from firmware.live.kept_ceilings import Ceilings
from firmware.live.liveness import Liveness
from firmware.live.locked import after
from firmware.live.meantime import Meantime
from firmware.live.measurer import Measurer
from firmware.live.memories import memories_of
from firmware.live.orders import Orders, orders_of
from firmware.live.railing import is_lining_up
from firmware.live.settling import Settling
from firmware.live.showing import Arrived, Besides, Ready, shown_of
from firmware.live.state import Running, State
from firmware.live.suspicions import Suspicions
from firmware.opening.read_with import read_with
from firmware.system.threads import Newest, Worker, stop_all
from overlays.draw.moment.shown import BELIEVED, Alert, Face, Measured, Shown
from overlays.signal.frame import Frame
from overlays.signal.kept_frame import kept

READ_S = 0.05
"""Longest wait for a frame in one turn of the capturing thread: a lost signal is told so soon."""
TURN_S = 0.02
"""Longest wait of the drawing thread: controls and the feed's state are looked at so often."""
NOTE_NS = 3_000_000_000
"""How long a note stays on the screen."""
TURN_NS = 5_000_000_000
"""How long a warning stays where others wait for its place: two lines are read twice in that."""
NEVER_FRESH = 64
"""Frames beyond those asked for that are too old when they are seen, until a run ends without."""
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
        self.state, self.stats = state, Stats()
        self.stages, self.stats.is_settling = self._hooks.stages, True
        self._frames: Newest[Arrived] = Newest()
        self._ready: Newest[Ready] = Newest()
        registry, ceilings = state.registry, Ceilings()
        memories = self.memories = memories_of(registry)
        self._measurer = Measurer(clock, self.stats, registry, memories, ceilings=ceilings)
        self._meantime = self._measurer.wait_in(Meantime(clock))
        self._held_measurer = Measurer(clock, Stats(), registry, memories, Frames.HELD, ceilings)
        self._measurer.crew = self._held_measurer.crew = self._hooks.crew
        self._derived_from = (state.in_use, state.is_guess, feed.info)
        self._read_with = read_with(
            state.in_use, feed.info, is_guess=state.is_guess, override=state.override
        )
        self._orders: Orders = orders_of(state, self._read_with)
        self._feed_state: FeedState | None = None
        self._current: Measured | None = None
        self._readable: Measured | None = None
        self._liveness, self._announcing = Liveness(clock, self._hooks), Announcing(self._hooks)
        self._seen, self._is_over = 0, False
        self._held: Frame | None = None
        self._note: tuple[str, int] = ("", 0)
        self._alert: Alert | None = None
        self._painted: tuple[object, ...] = ()
        self._suspicions, self._hands = Suspicions(clock), Hands()
        self._settling, stages = Settling(self._hooks, self.stats), self.stages
        self._capture = Worker("capture", self._take_frame, stages.capture.beating(clock))
        self._measure = Worker("measure", self._measure_frame, stages.measuring.beating(clock))

    def run(self, frames: int | None = None) -> Face:
        """Until quit, until so many frames are shown, or, with `frames`, until no more can come.

        Also until the feed is to give way to another, where a hook says so. Returns the last face.

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
                self.stages.drawing.beat(self._clock.now_ns())
                if frames is not None and self._enough(frames):
                    break
        finally:
            self.stages.rest()
            end_s, places = self._hooks.end_s, (self._frames, self._ready)
            stop_all(self._capture, self._measure, waiting_at=places, deadline_s=end_s)
            self._let_go()
        return face

    def _enough(self, frames: int) -> bool:
        late = self._seen >= frames + NEVER_FRESH
        return late or self.stats.frames_shown >= frames or self._is_over

    def _take_frame(self) -> None:
        got = self._feed.read(READ_S)
        if isinstance(got, Frame):
            self.stats.frames_in += 1
            now_ns = self.stages.arrived_ns = self._clock.now_ns()
            left = self._frames.put(Arrived(got, now_ns), self._liveness.patience_s)
            self._feed_state = None
            if left is not None:
                self._feed.release(left.frame)
                self.stats.dropped_before_measuring += 1
            return
        self._feed_state = got
        if got is not FeedState.NO_FRAME_YET:
            self._is_over = self._is_over or got in OVER
            self._capture.pause(READ_S)  # a feed that answers at once must not spin

    def _measure_frame(self) -> None:
        came = self._frames.take(READ_S)
        if came is None:
            return
        self._meantime.frame()
        ready = self._measured(came)
        # Kernels were loaded meanwhile, say: the newest is quick now, and no longer an old one.
        if self._liveness.is_late(came.at_ns) and (newer := self._frames.take(0.0)) is not None:
            self._drop(ready)
            ready = self._measured(newer)
        self._suspicions.attend(ready.measured, self._meantime, is_held=self._orders.held)
        if (left := self._ready.put(ready, self._liveness.patience_s)) is not None:
            self._drop(left)
        self._meantime.go_on()

    def _drop(self, ready: Ready) -> None:
        self._return(ready.measured)
        self.stats.dropped_before_showing += 1

    def _measured(self, came: Arrived) -> Ready:
        measured = self._measurer.measure(came.frame, self._orders)
        self.stats.frames_measured += 1
        return Ready(measured, came.at_ns)

    def _return(self, measured: Measured) -> None:
        self._feed.release(measured.frame)
        self._measurer.give_back(measured.census)

    def turn(self) -> Face:
        """Controls, the newest frame if there is one, and the screen if anything changed."""
        for fault in (self._capture.fault, self._measure.fault):
            if fault is not None:
                raise fault
        self._obey(self._board.actions())
        if (fresh := self._ready.take(TURN_S)) is not None:
            self._accept(fresh)
        seen = self._look(now_ns := self._clock.now_ns())
        if self._note[0] and now_ns >= self._note[1]:
            self._note = ("", 0)
        self._alert = self._hooks.alert()
        others = (self.state, self._note, self._alert, now_ns // TURN_NS)
        new = fresh is not None and self._held is None
        if new or (seen, others) != self._painted:
            seen = self._paint(seen, fresh if new else None, now_ns // TURN_NS)
            self._painted = (seen, others)
        self._hooks.turn(seen)
        self._settling.turn(now_ns, self._seen)
        return seen.face

    def _look(self, now_ns: int) -> Freshness:
        held = None if self._held is None else self._held.number
        return self._liveness.look(now_ns, self._feed_state, held, self._feed.info)

    def _obey(self, actions: list[Action]) -> None:
        before = self.state
        self.state = self._hands.after(before, actions, self._clock.now_ns())
        if not self.state.held:
            self._held = None
        elif self._held is None and self._current is not None:
            self._held = kept(self._current.frame)
        elif self._held is None:
            self.state = replace(self.state, held=False)  # there is nothing to hold yet
        for words in answered(self._hooks, before, self.state, self._readable, self._read_with):
            self.say(words)
        if self.state.searches != before.searches:
            self.state, words = sent(self.state, self._readable, self._read_with.gamut)
            self.say(words)
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
        self._orders = orders_of(state, self._read_with, index=self._hooks.shows_index())

    def say(self, words: str) -> None:
        """Show a note for a few seconds."""
        self._note = (words, self._clock.now_ns() + NOTE_NS)

    def _measure_held(self, frame: Frame) -> None:
        """A held frame is read again where the spot, the profile or the stripes have changed."""
        self._show(self._held_measurer.measure(frame, self._orders))

    def _accept(self, fresh: Ready) -> None:
        if self._held is not None:
            self._liveness.passed(self._feed_state)
            self._return(fresh.measured)
            return
        self._liveness.took(fresh.at_ns, self._feed_state)
        self._show(fresh.measured)
        frame = fresh.measured.frame
        if (frame.columns, frame.rows) != (self.state.columns, self.state.rows):
            self.state = after(self.state, PictureSize(frame.columns, frame.rows))
            self._take_orders()

    def _show(self, measured: Measured) -> None:
        """Take a measurement's place; the feed gets the frame before back (harmless on a copy)."""
        if self._current is not None and self._current is not measured:
            self._return(self._current)
        self._current = measured

    def _paint(self, seen: Freshness, fresh: Ready | None, turn: int) -> Freshness:
        """Paint and let it be seen; what is said of it holds at that moment, and is returned."""
        self._announce(turn)
        start_ns = self._clock.now_ns()
        self._paint_as(seen, turn)
        now = self._look(painted_ns := self._clock.now_ns())
        if seen.face in BELIEVED and now.face not in BELIEVED:
            seen = now  # lost or grown old while it was painted
            self._paint_as(seen, turn)
        self._board.flip()
        if fresh is None:
            return seen
        self._meantime.drawn.set()
        flipped_ns = self.stages.out_ns = self._clock.now_ns()
        self.stats.note_shown(start_ns, painted_ns, flipped_ns, fresh.measured.frame.time_ns)
        self.stats.frames_shown += int(seen.face in BELIEVED)
        self._seen += 1
        if self._seen == 1:
            self._hooks.first()
        return seen

    def _announce(self, turn: int) -> None:
        """Before what may have to be compiled first, since meanwhile nothing can be said."""
        if self._current is None:
            return
        what = (self.state.view, self._orders.trace, self._current.frame.signal)
        seen = self._announcing.before(what, is_first=not self._seen)
        if seen is not None:
            self._board.paint(self._shown(seen, None, turn))
            self._board.flip()

    def _paint_as(self, seen: Freshness, turn: int) -> None:
        shown = self._shown(seen, self._current, turn)
        self._readable = shown.readable
        self._board.paint(shown)

    def _shown(self, seen: Freshness, measured: Measured | None, turn: int) -> Shown:
        warnings = (*self._suspicions.words, *self._warnings)
        light = self._hooks.light(0) if is_lining_up(self.state) else ""
        said = Besides(warnings, self._note[0], self._alert or self._suspicions.alert, turn, light)
        return shown_of(self.state, self._feed.info, self._orders, measured, seen, said)

    def _let_go(self) -> None:
        """Give every frame back that is still lent."""
        if (waiting := self._frames.take(0.0)) is not None:
            self._feed.release(waiting.frame)
        if (ready := self._ready.take(0.0)) is not None:
            self._return(ready.measured)
        if self._current is not None:
            self._return(self._current)
