"""A whole unit of a kit by hand: a loop on the bench whose moments are published for real."""

import time

from firmware.clock import HandClock, SystemClock
from firmware.feeds.base import Pace
from firmware.instruments.registry import REGISTRY
from firmware.live.hooks import Hooks
from firmware.live.kitting import Kitting
from firmware.live.loop import Loop
from firmware.live.marking import Marking
from firmware.live.run_plan import RunPlan
from firmware.live.starting import starting_state
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from tests.golden.playing import Timed, turned_by_hand
from tests.moments import Reader

DAY_S = 1_795_737_600.0


class LoopOfKit:
    """A unit that a test turns, frame by frame."""

    def __init__(self, folder, settings, feed, view="match", profile=None):
        folder.mkdir(parents=True, exist_ok=True)
        self.clock = HandClock(10**9, DAY_S)
        self.said: list[str] = []
        view = REGISTRY.view(view)
        self.marking = Marking(folder / "journal.db", "camera=own", self.clock, folder)
        plan = RunPlan(view=view, kit=settings)
        self.kitting = Kitting(plan, SystemClock(), self.marking, self.said.append)
        self.session = open_session(
            feed, profile, Overrides(), clock=HandClock(10**9), pace=Pace.STEP
        )
        self.board = Reader(lambda _shown: None)
        hooks = Hooks(mark=self.marking.mark)
        self.loop = Loop(
            Timed(self.session.feed, self.clock),
            starting_state(self.session, view),
            self.kitting.board(self.board),
            self.clock,
            (),
            hooks,
        )
        turned_by_hand(self.loop)
        hooks.alert = self.kitting.alert(lambda: None)
        hooks.turn = self._turn

    def _turn(self, _seen):
        self.marking.turn(self.loop, self.session.feed.info.name)
        self.kitting.turn(self.loop, self.session.feed.info)

    def frames(self, count=1):
        for _ in range(count):
            self.loop._take_frame()
            self.loop._measure_frame()
            self.loop.turn()
        return self.board.last

    def until(self, is_so, seconds=60.0):
        """Go on, a frame every few hundredths of a second, until it has come about."""
        end = time.monotonic() + seconds
        while not is_so():
            assert time.monotonic() < end, "it did not come about"
            self.frames()
            time.sleep(0.03)

    def press(self, *presses):
        self.board.presses += presses
        return self.frames(2)

    def close(self):
        self.kitting.close()
        self.marking.close()
        self.session.feed.close()
