"""Inside the guest: the feed check as a person does it, with four buttons, on the live feed.

Contacts of gpiozero's own mock pins are closed and opened; all behind them is what a board runs:
panel, rail, loop, instrument, and the file in which a device is kept.
"""

import os
import shutil
import threading
import time
from pathlib import Path

from gpiozero.pins.mock import MockFactory, MockPWMPin
from live import NODE, midgrey

from firmware.actions import Press
from firmware.clock import SystemClock
from firmware.controls.gpio_map import read_pins, shipped_pins
from firmware.controls.panel import open_panel
from firmware.feeds.base import Pace
from firmware.instruments.registry import REGISTRY
from firmware.live.loop import Loop
from firmware.live.railing import page_of
from firmware.live.starting import starting_state
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session

ROOT = Path("/run/checker-board")
SETTINGS = Path("/run/checker")
FEED = f"v4l2:{NODE},format=UYVY"
SHORT_S, LONG_S = 0.08, 0.75


class Checker:
    """A loop, the panel with its four buttons, and somebody who presses them."""

    def __init__(self):
        shutil.rmtree(SETTINGS, ignore_errors=True)
        os.environ["XDG_CONFIG_HOME"] = str(SETTINGS)
        model = ROOT / "proc/device-tree/model"
        model.parent.mkdir(parents=True, exist_ok=True)
        model.write_text("Raspberry Pi 4 Model B Rev 1.1\0")
        self.answer, self._keys = None, []
        self._pins, self._rail = MockFactory(pin_class=MockPWMPin), read_pins(shipped_pins()).rail
        self._session = open_session(
            FEED, "standard", Overrides(), clock=SystemClock(), pace=Pace.LIVE
        )
        self._panel, warning = open_panel(self, SystemClock(), ROOT, self._pins)
        assert self._panel is not None, warning
        state = starting_state(self._session, REGISTRY.view(None))
        self._loop = Loop(self._session.feed, state, self._panel, SystemClock())
        self._thread = threading.Thread(target=self._loop.run, name="checker")
        self._thread.start()
        self.do("more ›", lambda: self._shows("feedcheck"))
        self.do("feedcheck", lambda: self._loop.state.view.name == "feedcheck")
        # Kernels come in with the first picture, which takes its time where all is emulated.
        _wait(lambda: hasattr(self.answer, "readings"), 200.0, "feedcheck was chosen")

    def actions(self):
        """Nothing is touched; a keyboard says when it is over."""
        given, self._keys = self._keys, []
        return given

    def paint(self, shown):
        """Keep what the instrument found."""
        if shown.measured is not None and shown.measured.answer is not None:
            self.answer = shown.measured.answer

    def flip(self):
        """Nobody looks."""

    def do(self, label, until, timeout_s=30.0):
        """Press the button that bears a label, held where that stands below; wait for an effect."""
        for number, slot in enumerate(page_of(self._loop.state)):
            for meaning, press_s in ((slot.pressed, SHORT_S), (slot.held, LONG_S)):
                if meaning is not None and meaning.label == label:
                    self._close(number, press_s)
                    _wait(until, timeout_s, f"{label} was pressed: {self.answer}")
                    return
        raise RuntimeError(f"{label} is not on the rail: {page_of(self._loop.state)}")

    def take(self):
        """One reading by its button; how many, whether certain, what it is, what is asked for."""
        time.sleep(1.0)  # the picture before may still be on its way
        before = len(self._read())
        self.do("take reading", lambda: len(self._read()) > before)
        check = self.answer.check
        if check is None:
            return [before + 1, False, None, None]
        names = [[d.curve.name, d.range.value] for d in check.groups[0]] if check.groups else []
        ask = None if check.ask is None else check.ask.value
        return [before + 1, check.is_certain, names, ask]

    def keep(self):
        """Keep it for the device by the same button: what is said, and how it is read anew."""
        self.do("take reading", lambda: bool(self.answer.kept))
        kept, feed = self.answer.kept, self._session.feed
        _wait(lambda: feed.info.checked is not None, 30.0, "it was kept")
        described = feed.info.words  # what the feed line of the screen says
        self.close()
        again = midgrey("read", FEED, "--json")
        return [kept, again["feed"]["range"], described, again["warnings"]]

    def close(self):
        """Quit, and let go of pins and device; what was kept stays until the next one."""
        if self._thread.is_alive():
            self._keys = [Press.QUIT]
            self._thread.join(20)
        self._panel.close()
        self._pins.close()
        self._session.feed.close()
        return not self._thread.is_alive()

    def _shows(self, label):
        page = page_of(self._loop.state)
        return any(m is not None and m.label == label for s in page for m in (s.pressed, s.held))

    def _close(self, number, press_s):
        pin = self._pins.pin(self._rail[number])
        pin.drive_low()
        time.sleep(press_s)
        pin.drive_high()

    def _read(self):
        return getattr(self.answer, "readings", None) or {}


def _wait(until, timeout_s, what):
    end = time.monotonic() + timeout_s
    while not until():
        if time.monotonic() > end:
            raise RuntimeError(f"nothing happened after {what}")
        time.sleep(0.02)
