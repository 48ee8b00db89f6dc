"""The lamp in a thread of its own: it flashes also while whoever draws the screen hangs.

A screen that hangs cannot say so. The lamp can, and where it is the lamp's own pin that hangs, the
screen goes on and says that.
"""

from contextlib import suppress

from firmware.clock import Clock
from firmware.controls.beeper import Beeper
from firmware.controls.lamp import Glow, Lamp
from firmware.controls.saying import Saying
from firmware.controls.signal_lamp import SignalLamp
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
        The one beside a screen, or None; like the others it belongs to the keeper from here on.
    clock:
        Time.
    signal, beeper:
        A lamp that is alone, and a buzzer, where there are any.
    stages:
        Whether the screen is drawn is read from them; the lamp's own signs of life go there.
    """

    def __init__(
        self,
        lamp: Lamp | None,
        clock: Clock,
        stages: Stages,
        signal: SignalLamp | None = None,
        beeper: Beeper | None = None,
    ) -> None:
        self._lamp, self._clock, self._stages = lamp, clock, stages
        self._signal, self._beeper = signal, beeper
        self._glow = Glow.DARK
        self._saying: tuple[Saying, ...] = (Saying.NOTHING,)
        self._fault_until_ns = clock.now_ns()
        self._presses = 0
        self._answered = 0
        self._worker = Worker("lamp", self._turn, stages.lamp.beating(clock))

    def start(self) -> None:
        """Begin."""
        self._worker.start()

    def say(self, glow: Glow, saying: tuple[Saying, ...] = (Saying.NOTHING,)) -> None:
        """What the screen says from now on, and a lamp that is alone; never waits."""
        self._glow, self._saying = glow, saying

    def answer(self) -> None:
        """A press was taken; never waits."""
        self._presses += 1

    def warn(self, seconds: float) -> None:
        """Whatever else is to be said, a fault for so long; never waits."""
        self._fault_until_ns = self._clock.now_ns() + round(seconds * 1e9)

    def step(self) -> None:
        """One turn without its pause."""
        now_ns = self._clock.now_ns()
        frozen = self._stages.drawing.is_stalled(now_ns)
        if self._lamp is not None:
            self._lamp.say(Glow.FLASHING if frozen else self._glow)
        wrong = frozen or now_ns < self._fault_until_ns
        saying = (Saying.FAULT,) if wrong else self._saying
        pressed, self._answered = self._presses != self._answered, self._presses
        for each in (self._signal, self._beeper):
            if each is not None:
                if pressed:
                    each.answer()
                each.say(saying)

    def _turn(self) -> None:
        self.step()
        self._worker.pause(TURN_S)

    def close(self) -> None:
        """Dark, and the pin free again; one that hangs is left behind."""
        self._worker.ask_to_stop()
        with suppress(ThreadStuckError):
            self._worker.join(CLOSE_S)
            for each in (self._lamp, self._signal, self._beeper):
                if each is not None:
                    each.close()
        self._stages.lamp.rest()
