"""The lamp beside the screen: seen from where the screen is not.

Dark while all is well; lit while something on the screen asks for a hand (the brightest thing that
matters is clipped, or a view reports in its alarm colour); flashing while there is no live picture.
"""

from enum import Enum
from typing import Any

from firmware.clock import Clock
from firmware.controls.header import pin_faults, pin_refused
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Face, Shown

HALF_NS = 500_000_000
"""Half a flash: once a second, well below rates that can harm (common practice, no source)."""

_GONE = frozenset({Face.STALE, Face.STALLED, Face.LOST})


class Glow(Enum):
    """What the lamp does."""

    DARK = "dark"
    LIT = "lit"
    FLASHING = "flashing"


def glow_of(shown: Shown) -> Glow:
    """What the lamp has to say of a moment on the screen."""
    if shown.face in _GONE:
        return Glow.FLASHING
    readable = shown.readable
    if readable is None:
        return Glow.DARK
    clipped = readable.range is not None and readable.range.headroom_stops == 0.0
    report = None if readable.said is None else readable.said.report
    alarming = report is not None and report.tone is Tone.ALARM
    return Glow.LIT if clipped or alarming else Glow.DARK


class Lamp:
    """A lamp on one of the board's pins.

    Parameters
    ----------
    pin:
        BCM number.
    clock:
        Time, for flashing.
    factory:
        gpiozero's pin factory.

    Raises
    ------
    ScreenError
        The pin cannot be had.
    """

    def __init__(self, pin: int, clock: Clock, factory: Any) -> None:  # noqa: ANN401 (no types)
        # Imported where pins are used: it costs a fifth of a second.
        from gpiozero import LED  # noqa: PLC0415 - costs a fifth of a second

        try:
            self._led: Any = LED(pin, pin_factory=factory)
        except pin_faults() as fault:
            raise pin_refused(fault) from fault
        self._clock = clock
        self._glow, self._since_ns = Glow.DARK, clock.now_ns()
        self._is_on = False

    def say(self, glow: Glow) -> None:
        """From now on, this."""
        if glow is not self._glow:
            self._glow, self._since_ns = glow, self._clock.now_ns()
        self.turn()

    def turn(self) -> None:
        """Flash, where it is time to; to be called often."""
        halves = (self._clock.now_ns() - self._since_ns) // HALF_NS
        wanted = self._glow is Glow.LIT or (self._glow is Glow.FLASHING and halves % 2 == 0)
        if wanted is not self._is_on:
            self._is_on = wanted
            (self._led.on if wanted else self._led.off)()

    def close(self) -> None:
        """Dark, and the pin free again; closing twice is allowed."""
        self._led.close()
