"""Live readings in the terminal, for a machine without a display."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol, TextIO

from firmware.clock import Clock
from firmware.errors import FrameMissingError
from firmware.feeds.base import FeedState
from firmware.instruments.asking import Unplaced, scene_of
from firmware.instruments.contract import Instrument
from firmware.instruments.scene import Frames
from firmware.opening.one_frame import PATIENCE_S
from firmware.opening.session import Session
from firmware.profiles.model import Profile
from overlays.draw.moment.shown import SIMULATED
from overlays.measure.counting.census import Wants
from overlays.signal.frame import Frame

if TYPE_CHECKING:
    from rich.panel import Panel

STALE_NS = 500_000_000
"""A feed that gave no new frame for so long is stale, and its last reading no live one."""
LINE_NS = 1_000_000_000
"""Time from line to line where the output is no terminal."""
PANEL_NS = 100_000_000
"""Time from paint to paint of the panel."""
_WAIT_S = 0.1
READ = Wants.LEVELS | Wants.CLIPPING | Wants.RGB
"""Counted of every frame, whatever the instrument."""
_OVER = frozenset({FeedState.ENDED, FeedState.GONE})


@dataclass(frozen=True, slots=True)
class Seen:
    """One measured frame.

    Attributes
    ----------
    words:
        What the instrument says of it, by label.
    number, taken_ns:
        Of the frame, and when it was taken.
    """

    words: dict[str, str]
    number: int
    taken_ns: int


@dataclass(frozen=True, slots=True)
class Now:
    """What is known at one moment.

    Attributes
    ----------
    seen:
        The newest measured frame, or None before the first.
    state:
        Why there is no newer frame, or None while they come.
    silent_ns:
        Time since the newest frame came; since the start before the first.
    age_ns:
        Of the newest frame, from when it was taken.
    profile:
        What is read with.
    is_simulated:
        Whether no camera is behind it.
    name:
        Of the feed.
    """

    seen: Seen | None
    state: FeedState | None
    silent_ns: int
    age_ns: int
    profile: Profile
    is_simulated: bool = False
    name: str = ""

    @property
    def is_live(self) -> bool:
        """Whether the reading may be shown as that of the feed now."""
        return self.seen is not None and self.silent_ns <= STALE_NS


class TerminalFace(Protocol):
    """Something that shows a moment to a person."""

    period_ns: int

    def show(self, now: Now) -> None:
        """Show it."""
        ...

    def close(self) -> None:
        """Leave the terminal as it was."""
        ...


def describe(now: Now) -> dict[str, str]:
    """The moment in words, label by label; no old number appears as a live one."""
    state = "no new frame" if now.state is None else now.state.value
    if now.state is FeedState.ABSENT:
        state = f"{now.name} is {state}"
    if now.seen is None:
        return {"state": f"WAITING {now.silent_ns / 1e9:.1f} s: {state}"}
    if not now.is_live:
        return {"state": f"STALE {now.silent_ns / 1e9:.1f} s: {state}"}
    feed = {"feed": SIMULATED} if now.is_simulated else {}
    return {**now.seen.words, **feed, "frame": f"{now.seen.number}, {now.age_ns / 1e6:.0f} ms old"}


class Lines:
    """A plain line a second: for a pipe, a log or a dumb terminal."""

    period_ns = LINE_NS

    def __init__(self, out: TextIO) -> None:
        self._out = out

    def show(self, now: Now) -> None:
        """Print one line and flush it."""
        words = describe(now)
        text = words.get("state") or "  ".join(f"{k} {v}".strip() for k, v in words.items())
        print(text, file=self._out, flush=True)

    def close(self) -> None:
        """Nothing to leave."""


class PanelFace:
    """A panel repainted in place."""

    period_ns = PANEL_NS

    def __init__(self, out: TextIO) -> None:
        from rich.console import Console  # noqa: PLC0415 - slow to load, needed on a terminal only
        from rich.live import Live  # noqa: PLC0415 - the same

        self._live: Live = Live(console=Console(file=out), auto_refresh=False)
        self._live.start()

    def show(self, now: Now) -> None:
        """Repaint."""
        self._live.update(panel(now), refresh=True)

    def close(self) -> None:
        """Leave the last panel standing and give the cursor back."""
        self._live.stop()


def panel(now: Now) -> "Panel":
    """The panel of one moment; it says in words whatever colour says."""
    from rich.panel import Panel  # noqa: PLC0415 - slow to load, needed on a terminal only
    from rich.table import Table  # noqa: PLC0415 - the same

    table = Table.grid(padding=(0, 2))
    for label, text in describe(now).items():
        main = not table.row_count or label == "state"
        table.add_row("" if label == "state" else label, text, style="bold" if main else "")
    carried = f"{now.profile.curve.name}, {now.profile.name}"
    return Panel(table, title=f"midgrey: {carried}", expand=False)


def face_for(out: TextIO) -> TerminalFace:
    """The face that suits where the output goes."""
    return PanelFace(out) if out.isatty() else Lines(out)


class LiveReadings:
    """Reads frames, measures the newest and shows it until the feed ends or enough were seen.

    Parameters
    ----------
    session:
        What to read and with what.
    instrument:
        Whose words are shown; measured anew on every frame.
    clock:
        Of the feed.
    face:
        Who shows it.
    """

    def __init__(
        self,
        session: Session,
        instrument: Instrument[Any, Any, Any],
        clock: Clock,
        face: TerminalFace,
    ) -> None:
        self._session, self._instrument = session, instrument
        self._feed, self._profile = session.feed, session.profile
        self._clock, self._face = clock, face
        self._settings = instrument.settings(session.profile, session.feed.info.rate)
        self._memory = instrument.memory()
        self._seen: Seen | None = None
        self._came_ns = self._taken_ns = clock.now_ns()
        self._state: FeedState | None = FeedState.NO_FRAME_YET
        self._is_warm = False

    def run(
        self, frames: int | None = None, is_over: Callable[[], bool] = lambda: False
    ) -> FeedState | None:
        """Show readings until `frames` were measured, or the feed ends or goes (that state).

        Also until it is to give way to another, as `is_over` says.

        Raises
        ------
        FrameMissingError
            `frames` were asked for, and none came for ten seconds.
        """
        count, shown_ns = 0, self._clock.now_ns() - self._face.period_ns
        shown: Now | None = None
        while (frames is None or count < frames) and not is_over():
            count += self._step()
            now = self._now()
            warming = self._seen is None and self._state is None
            if self._clock.now_ns() - shown_ns >= self._face.period_ns and not warming:
                self._face.show(now)
                shown = now
                shown_ns = self._clock.now_ns()
            if self._state in _OVER:
                break
            if frames is not None and now.silent_ns > PATIENCE_S * 1e9:
                raise FrameMissingError(self._silent(count))
        if shown is None or shown.seen is not self._seen or shown.state != self._state:
            self._face.show(self._now())
        return self._state

    def _silent(self, count: int) -> str:
        state = "no new frame" if self._state is None else self._state.value
        return (
            f"{self._feed.info.name}: no frame for {PATIENCE_S:g} s ({state}) after {count}; "
            "check the source and the cable"
        )

    def _step(self) -> int:
        got = self._feed.read(_WAIT_S)
        came_ns = self._clock.now_ns()
        if not isinstance(got, Frame):
            self._state = got
            return 0
        try:
            seen = self._measure(got)
        finally:
            self._feed.release(got)
        if not self._is_warm:
            # The kernels were compiled or loaded on this frame, which is old by now.
            self._is_warm, self._came_ns, self._state = True, self._clock.now_ns(), None
            return 0
        self._seen, self._state = seen, None
        self._came_ns, self._taken_ns = came_ns, got.time_ns
        return 1

    def _measure(self, frame: Frame) -> Seen:
        wants = READ | self._instrument.counts | self._instrument.counts_when_due
        read_with = self._session.read_with()
        scene = scene_of(frame, read_with, (), Unplaced.PINS, wants=wants)
        scene.frames, scene.now_ns = Frames.LIVE, self._clock.now_ns()
        scene.wall_s = self._clock.wall_s()
        instrument = self._instrument
        instrument.follow(scene, self._settings, self._memory, in_view=True)
        answer = instrument.measure(scene, self._settings, self._memory)
        return Seen(instrument.words(answer), frame.number, frame.time_ns)

    def _now(self) -> Now:
        now_ns = self._clock.now_ns()
        age_ns = max(now_ns - self._taken_ns, 0)
        return Now(
            self._seen,
            self._state,
            now_ns - self._came_ns,
            age_ns,
            self._profile,
            self._feed.info.is_simulated,
            self._feed.info.name,
        )
