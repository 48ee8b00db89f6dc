"""Inside the guest: the feed check as a person does it, with presses of hold, on the live feed."""

import threading
import time

from live import NODE

from firmware.actions import Press
from firmware.clock import SystemClock
from firmware.feeds.base import Pace
from firmware.instruments.registry import REGISTRY
from firmware.live.loop import Loop
from firmware.live.starting import starting_state
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session


class Checker:
    """A loop in the view of the feed check, and the two buttons that lead through it."""

    def __init__(self):
        self.presses, self.answer = [], None
        self._session = open_session(
            f"v4l2:{NODE},format=UYVY",
            "standard",
            Overrides(),
            clock=SystemClock(),
            pace=Pace.LIVE,
        )
        state = starting_state(self._session, REGISTRY.view("feedcheck"))
        self._loop = Loop(self._session.feed, state, self, SystemClock())
        self._thread = threading.Thread(target=self._loop.run, name="checker")
        self._thread.start()

    def actions(self):
        """What was pressed since."""
        given, self.presses = self.presses, []
        return given

    def paint(self, shown):
        """Keep what the instrument found."""
        if shown.measured is not None and shown.measured.answer is not None:
            self.answer = shown.measured.answer

    def flip(self):
        """Nobody looks."""

    def hold(self, timeout_s=30.0):
        """Press hold; what was read, whether it is certain, what it is and what is asked for."""
        time.sleep(1.0)  # the picture before may still be on its way
        before, end = len(self._read()), time.monotonic() + timeout_s
        self.presses.append(Press.HOLD)
        while len(self._read()) == before:
            if time.monotonic() > end:
                raise RuntimeError(f"no reading was taken: {self.answer}")
            time.sleep(0.02)
        check = self.answer.check
        if check is None:
            return [before + 1, False, None, None]
        names = [[d.curve.name, d.range.value] for d in check.groups[0]] if check.groups else []
        ask = None if check.ask is None else check.ask.value
        return [before + 1, check.is_certain, names, ask]

    def close(self):
        """Quit, and let go of the device."""
        self.presses.append(Press.QUIT)
        self._thread.join(20)
        self._session.feed.close()
        return not self._thread.is_alive()

    def _read(self):
        return {} if self.answer is None else self.answer.readings
