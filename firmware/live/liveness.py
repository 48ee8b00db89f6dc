"""Whether the frame on the screen is of now: its age, and what keeps a newer one from it."""

from firmware.clock import Clock
from firmware.feeds.base import FeedInfo, FeedState
from firmware.live.freshness import Freshness, Signs, look
from firmware.live.hooks import Hooks
from firmware.system.compiling import MADE_LATELY_NS, goes_on
from firmware.system.stages import (
    MOST_PATIENT_NS,
    QUIET_NS,
    SLOWEST_NS,
    Patience,
    Stage,
    least_patience_ns,
)
from overlays.draw.moment.shown import Face

MEASURING = "measuring the first frame"

PREPARED = "its code is being prepared"
"""Of a stage that waits for a compiler."""

FIRST_NS = max(SLOWEST_NS, least_patience_ns())
"""How long a first frame may take beside that."""

TURNS = 4
"""A feed at its own pace may take so many times as long as a frame of it takes: one picture is on
the screen while the next is decoded and one is read over, beside work on all cores."""

PATIENT_NS = 500_000_000
"""Longest that a frame of such a feed waits for the one before it: so long kernels take to load."""

COMING = frozenset({None, FeedState.NO_FRAME_YET})
"""What a feed answers that has not lost its signal; None stands for a frame."""


class Liveness:
    """What the drawing thread knows of the frame that it shows.

    Parameters
    ----------
    clock:
        Time.
    hooks:
        Asked for the stages, and for what they wait for.
    """

    def __init__(self, clock: Clock, hooks: Hooks) -> None:
        self._clock, self._hooks, self._stages = clock, hooks, hooks.stages
        self._shown_ns: int | None = None
        self._lost: FeedState | None = None
        self._ages = Patience()
        self._made, self._made_ns = hooks.made(), clock.now_ns() - MADE_LATELY_NS

    @property
    def limit_ns(self) -> int:
        """How old the frame on the screen may be: longer where no machine like this is quicker."""
        return max(self._ages.limit_ns, self._stages.capture.granted_ns)

    @property
    def patience_s(self) -> float:
        """How long a frame waits for the one before it to be taken.

        Every picture of a feed that goes at its own pace is shown; 0.0 for any other, where the
        newest wins.
        """
        return min(self._stages.capture.granted_ns, PATIENT_NS) / 1e9

    def is_late(self, at_ns: int) -> bool:
        """Whether a frame that came in at that time is too old to be shown, and a newer may be."""
        return not self.patience_s and self._clock.now_ns() - at_ns > self.limit_ns

    def took(self, at_ns: int, state: FeedState | None) -> None:
        """A frame that came in at that time takes the screen; `state` is the feed's last answer."""
        if self._shown_ns is not None:
            self._ages.note(self._clock.now_ns() - self._shown_ns)
        self._shown_ns = at_ns
        self._came(state)

    def passed(self, state: FeedState | None) -> None:
        """A frame came out behind one that is held."""
        self._stages.out_ns = self._clock.now_ns()
        self._came(state)

    def _came(self, state: FeedState | None) -> None:
        if state is None:
            self._lost = None

    def _grant(self, takes_s: float) -> None:
        """Let the threads of a feed at its own pace wait for it, and for their places."""
        self._stages.capture.granted_ns = min(round(TURNS * takes_s * 1e9), MOST_PATIENT_NS)
        waits_ns = round(1e9 * self.patience_s)
        self._stages.measuring.granted_ns = waits_ns + QUIET_NS if waits_ns else 0

    def look(
        self, now_ns: int, state: FeedState | None, held: int | None, info: FeedInfo | None = None
    ) -> Freshness:
        """How far what is on the screen may be believed now.

        Parameters
        ----------
        state:
            What the feed answered last; None where it was a frame.
        held:
            Number of the frame that is held; None where none is.
        info:
            Of the feed; one that goes at its own pace is waited for.
        """
        takes_s = 0.0 if info is None else info.takes_s
        self._grant(takes_s)
        if state not in COMING:
            self._lost = state
        elif state is None and self._lost is not None:
            state = self._lost  # frames come again, but none of them is seen yet
        if self._made != (made := self._hooks.made()):
            self._made, self._made_ns = made, now_ns
        preparing, stages = self._hooks.preparing(), self._stages
        is_working = goes_on(now_ns - self._made_ns, is_making=self._hooks.is_making())
        stalled = stages.before_the_screen(now_ns)
        seen = look(
            now_ns,
            Signs(
                self._shown_ns,
                state,
                held,
                self.limit_ns,
                stalled,
                lamp_stalled=stages.lamp.is_stalled(now_ns),
                working=PREPARED if is_working else "",
                name="" if info is None else info.name,
            ),
        )
        if self._shown_ns is not None or seen.face is Face.LOST:
            return seen
        # What it waited for was made a while ago, at the least: it is at work since then alone.
        if stalled is None or is_working or self._quiet_ns(stalled, now_ns) <= FIRST_NS:
            # The first frame takes its time: kernels are loaded, on the first start made.
            waits = seen.words if stages.arrived_ns is None and stalled is None else MEASURING
            return Freshness(Face.STARTING, preparing or waits)
        return seen

    def _quiet_ns(self, stage: Stage, now_ns: int) -> int:
        return min(stage.silent_ns(now_ns), now_ns - self._made_ns)
