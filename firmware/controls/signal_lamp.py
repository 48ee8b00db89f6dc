"""A lamp that is alone: of three colours, or two lamps, on the board's pins.

However fast what is said changes and whoever presses, it lights up no more than three times in any
second (W3C, WCAG 2.2, success criterion 2.3.1): what would be the fourth waits.
"""

from collections import deque
from typing import Any

from firmware.clock import Clock
from firmware.controls.gpio_map import PinMap
from firmware.controls.header import pin_faults, pin_refused
from firmware.controls.saying import COLOURS, PAIR, Saying, rhythm

MOST_A_SECOND = 3
SECOND_NS = 1_000_000_000
ANSWER_NS = 150_000_000
"""How long a press turns it over: seen, and shorter than any flash of a count."""

Lights = tuple[bool, ...]


class SignalLamp:
    """Says things by colour and rhythm.

    Parameters
    ----------
    pins:
        Of the lamp of three colours and of the two lamps, whichever there are.
    clock:
        Time.
    factory:
        gpiozero's pin factory.

    Raises
    ------
    ScreenError
        A pin cannot be had.
    """

    def __init__(self, pins: PinMap, clock: Clock, factory: Any) -> None:  # noqa: ANN401 (no types)
        # Imported where pins are used: it costs a fifth of a second.
        from gpiozero import LED  # noqa: PLC0415 - costs a fifth of a second

        self._clock = clock
        self._leds: list[Any] = []
        self._has_colours, self._has_pair = pins.colours is not None, pins.pair is not None
        try:
            for pin in (*(pins.colours or ()), *(pins.pair or ())):
                self._leds.append(LED(pin, pin_factory=factory))
        except pin_faults() as fault:
            self.close()
            raise pin_refused(fault) from fault
        self._dark: Lights = (False,) * len(self._leds)
        self._now = self._dark
        self._saying: tuple[Saying, ...] = (Saying.NOTHING,)
        self._since_ns = clock.now_ns()
        self._rises: deque[int] = deque(maxlen=MOST_A_SECOND)
        self._answer_ns: int | None = None

    def say(self, saying: tuple[Saying, ...]) -> None:
        """From now on, these in turns."""
        if saying != self._saying:
            self._saying, self._since_ns = saying, self._clock.now_ns()
        self.turn()

    def answer(self) -> None:
        """A press was taken: turned over for a moment."""
        self._answer_ns = self._clock.now_ns()

    def turn(self) -> None:
        """Go on with the rhythm, where it is time to; to be called often."""
        now_ns = self._clock.now_ns()
        wanted = self._wanted(now_ns)
        if wanted == self._now:
            return
        lit = any(wanted)
        if lit and len(self._rises) == MOST_A_SECOND and now_ns - self._rises[0] < SECOND_NS:
            wanted, lit = self._dark, False
        if lit:
            self._rises.append(now_ns)
        for led, on, was in zip(self._leds, wanted, self._now, strict=True):
            if on is not was:
                (led.on if on else led.off)()
        self._now = wanted

    def _wanted(self, now_ns: int) -> Lights:
        saying, lit = _at(self._saying, (now_ns - self._since_ns) // 1_000_000)
        if self._answer_ns is not None:
            if now_ns - self._answer_ns < ANSWER_NS:
                lit = not lit
            else:
                self._answer_ns = None
        if not lit:
            return self._dark
        colours = COLOURS[saying] if self._has_colours else ()
        return (*colours, *(PAIR[saying] if self._has_pair else ()))

    def close(self) -> None:
        """Dark, and the pins free again; closing twice is allowed."""
        while self._leds:
            self._leds.pop().close()


def _at(saying: tuple[Saying, ...], at_ms: int) -> tuple[Saying, bool]:
    """What is said at a time since it was begun, and whether it is lit then."""
    rounds = [(each, rhythm(each)) for each in saying]
    rest = at_ms % sum(length for _, steps in rounds for _, length in steps)
    for each, steps in rounds:
        for lit, length in steps:
            if rest < length:
                return each, lit
            rest -= length
    return saying[-1], False
