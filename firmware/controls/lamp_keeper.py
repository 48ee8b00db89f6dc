"""The lamp in a thread of its own: it flashes also while whoever draws the screen hangs.

A screen that hangs cannot say so. The lamp can, and where it is the lamp's own pin that hangs, the
screen goes on and says that.
"""

from contextlib import suppress

from firmware.clock import Clock
from firmware.controls.lamp import Glow, Lamp
from firmware.errors import ThreadStuckError
from firmware.system.stages import Stages
from firmware.system.threads import Worker

TURN_S = 0.05
"""From one look at what the lamp is to do to the next: ten to half a flash."""

CLOSE_S = 0.25
"""How long a pin that hangs may keep the appliance from stopping."""


class LampKeeper:
    """Does with a lamp what the screen says, and flashes it where the screen hangs.

    Parameters
    ----------
    lamp:
        Belongs to the keeper from here on.
    clock:
        Time.
    stages:
        Whether the screen is drawn is read from them; the lamp's own signs of life go there.
    """

    def __init__(self, lamp: Lamp, clock: Clock, stages: Stages) -> None:
        self._lamp, self._clock, self._stages = lamp, clock, stages
        self._glow = Glow.DARK
        self._worker = Worker("lamp", self._turn, stages.lamp.beating(clock))

    def start(self) -> None:
        """Begin."""
        self._worker.start()

    def say(self, glow: Glow) -> None:
        """What the screen says from now on; never waits."""
        self._glow = glow

    def step(self) -> None:
        """One turn without its pause."""
        frozen = self._stages.drawing.is_stalled(self._clock.now_ns())
        self._lamp.say(Glow.FLASHING if frozen else self._glow)

    def _turn(self) -> None:
        self.step()
        self._worker.pause(TURN_S)

    def close(self) -> None:
        """Dark, and the pin free again; one that hangs is left behind."""
        self._worker.ask_to_stop()
        with suppress(ThreadStuckError):
            self._worker.join(CLOSE_S)
            self._lamp.close()
        self._stages.lamp.rest()
