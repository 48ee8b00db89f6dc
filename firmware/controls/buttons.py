"""Buttons and the encoder on the board's pins, through gpiozero.

gpiozero calls back in threads of its own; all that happens there is that a press is queued, and the
loop takes it when it looks. The pin factory is handed in: on a board it is lgpio, the only one that
works on every kernel and board of today, in a test it is gpiozero's own mock.

gpiozero is asked for edges alone, with the moment of each: whether a button of the rail was pressed
short or long is told from these, the same as for keys and touch. Any other button counts when its
contact closes. The encoder has no bounce time: its table of steps takes bouncing
contacts as they come, and the parameter of that name does nothing there.
"""

from queue import Empty, SimpleQueue
from typing import TYPE_CHECKING, Any

from firmware.actions import Contact, Edge, Press
from firmware.clock import Clock
from firmware.controls.gpio_map import PinMap
from firmware.controls.header import pin_faults, pin_refused

if TYPE_CHECKING:
    from collections.abc import Callable

TOGETHER_S = 3.0
"""How long two buttons are held to lift or to set a lock: nobody leans on two for so long."""
BOUNCE_S = 0.02
"""A button that changes again sooner has bounced (common practice, no source)."""
MOST_WAITING = 64
"""Presses taken at one look; a stuck contact must not hold the loop."""


PAIR = (Press.HOLD, Press.NEXT_VIEW)
"""Buttons that are held together to lift or to set a lock."""


def two_of(pins: PinMap) -> tuple[int, ...]:
    """Pins of the two that are held together for a lock.

    Those two where the map has both; else the first and the third of the rail, which do no more
    than turn its pages when they are held; else the first two buttons, and none of fewer.
    """
    named = {press: pin for pin, press in pins.buttons.items()}
    if all(press in named for press in PAIR):
        return tuple(named[press] for press in PAIR)
    if pins.rail:
        return (pins.rail[0], pins.rail[2])
    return tuple(pins.buttons)[: len(PAIR)] if len(pins.buttons) >= len(PAIR) else ()


class Buttons:
    """The board's buttons.

    Parameters
    ----------
    pins:
        Which pin does what.
    factory:
        gpiozero's pin factory.
    clock:
        Time, for how long a button of the rail is pressed; without it, from when it is looked.

    Raises
    ------
    ScreenError
        A pin cannot be had (it is in use, or may not be opened).
    """

    def __init__(
        self,
        pins: PinMap,
        factory: Any,  # noqa: ANN401 (no types)
        clock: Clock | None = None,
    ) -> None:
        # Imported where pins are used: it costs a fifth of a second.
        from gpiozero import Button, RotaryEncoder  # noqa: PLC0415

        self._waiting: SimpleQueue[Press | Edge] = SimpleQueue()
        self._clock = clock
        self._devices: list[Any] = []
        self._pair: list[Any] = []
        self._was_together = False
        two = two_of(pins)
        try:
            for number, pin in enumerate(pins.rail):
                button = Button(pin, bounce_time=BOUNCE_S, pin_factory=factory)
                self._devices.append(button)
                if pin in two:
                    self._pair.append(button)
                button.when_pressed = self._edge_teller(number, Contact.CLOSED)
                button.when_released = self._edge_teller(number, Contact.OPENED)
            presses = dict(pins.buttons)
            if pins.encoder_press is not None:
                presses[pins.encoder_press] = Press.NEXT_STRIPE
            for pin, press in presses.items():
                button = Button(pin, bounce_time=BOUNCE_S, pin_factory=factory)
                self._devices.append(button)
                if pin in two:
                    self._pair.append(button)
                button.when_pressed = self._teller(press)
            if pins.encoder is not None:
                # Without max_steps=0 it would stop after sixteen steps.
                encoder = RotaryEncoder(*pins.encoder, max_steps=0, pin_factory=factory)
                self._devices.append(encoder)
                encoder.when_rotated_clockwise = self._teller(Press.STRIPE_UP)
                encoder.when_rotated_counter_clockwise = self._teller(Press.STRIPE_DOWN)
        except pin_faults() as fault:
            self.close()
            raise pin_refused(fault) from fault

    def _teller(self, press: Press) -> "Callable[[], None]":
        def tell() -> None:
            self._waiting.put(press)

        return tell

    def _edge_teller(self, number: int, contact: Contact) -> "Callable[[], None]":
        def tell() -> None:
            at_ns = None if self._clock is None else self._clock.now_ns()
            self._waiting.put(Edge(number, contact, at_ns))

        return tell

    def actions(self) -> list[Press | Edge]:
        """What was pressed since the last call; never waits."""
        found: list[Press | Edge] = []
        try:
            while len(found) < MOST_WAITING:
                found.append(self._waiting.get_nowait())
        except Empty:
            return found
        return found

    def are_held_together(self) -> bool:
        """Whether the two buttons of the lock have now been held for long; true once a hold."""
        held_s = [button.active_time or 0.0 for button in self._pair]
        together = len(held_s) == len(PAIR) and min(held_s) >= TOGETHER_S
        begins, self._was_together = together and not self._was_together, together
        return begins

    def close(self) -> None:
        """Let go of the pins; closing twice is allowed."""
        self._pair = []
        while self._devices:
            self._devices.pop().close()
