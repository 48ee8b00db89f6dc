"""A buzzer: one short sound answers a press, and so many say what the lamp has begun to say."""

from typing import Any

from firmware.clock import Clock
from firmware.controls.header import pin_faults, pin_refused
from firmware.controls.saying import COUNTS, Saying

SOUND_NS = 100_000_000
REST_NS = 3_000_000_000
"""From one count to the next: light that swings at an edge is no reason to drive people mad."""


class Beeper:
    """A buzzer that sounds while its pin is on.

    Parameters
    ----------
    pin:
        BCM number.
    clock:
        Time.
    factory:
        gpiozero's pin factory.

    Raises
    ------
    ScreenError
        The pin cannot be had.
    """

    def __init__(self, pin: int, clock: Clock, factory: Any) -> None:  # noqa: ANN401 (no types)
        # Imported where pins are used: it costs a fifth of a second.
        from gpiozero import Buzzer  # noqa: PLC0415 - costs a fifth of a second

        try:
            self._buzzer: Any = Buzzer(pin, pin_factory=factory)
        except pin_faults() as fault:
            raise pin_refused(fault) from fault
        self._clock = clock
        self._begun_ns, self._count = clock.now_ns(), 0
        self._counted_ns = clock.now_ns() - REST_NS
        self._saying: Saying | None = None
        self._is_on = False

    def answer(self) -> None:
        """A press was taken."""
        self._begin(1)

    def say(self, saying: tuple[Saying, ...]) -> None:
        """What the lamp says from now on; counted out where it is something new to act on."""
        now_ns = self._clock.now_ns()
        new = saying[0] is not self._saying
        if new and saying[0] in COUNTS and now_ns - self._counted_ns >= REST_NS:
            self._counted_ns = now_ns
            self._begin(COUNTS[saying[0]])
        self._saying = saying[0]
        self.turn()

    def turn(self) -> None:
        """Sound or stop, where it is time to; to be called often."""
        halves = (self._clock.now_ns() - self._begun_ns) // SOUND_NS
        wanted = halves % 2 == 0 and halves // 2 < self._count
        if wanted is not self._is_on:
            self._is_on = wanted
            (self._buzzer.on if wanted else self._buzzer.off)()

    def _begin(self, count: int) -> None:
        self._begun_ns, self._count = self._clock.now_ns(), count

    def close(self) -> None:
        """Silent, and the pin free again; closing twice is allowed."""
        self._buzzer.close()
