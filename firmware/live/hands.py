"""From what hands do to the state after it: presses by how long they were, and the rail's rest."""

from firmware.actions import Action, Rest
from firmware.controls.holding import Holding
from firmware.live.railing import acted
from firmware.live.state import State

REST_NS = 8_000_000_000
"""Without a press for so long the rail rests: labels are read, and nobody is at the buttons."""


class Hands:
    """Whoever presses."""

    def __init__(self) -> None:
        self._holding = Holding()
        self._last_ns: int | None = None

    def after(self, state: State, actions: list[Action], now_ns: int) -> State:
        """The state after what was done since the last call, and after what was not."""
        done = self._holding.presses(actions, now_ns)
        if done or self._last_ns is None:
            self._last_ns = now_ns
        if not state.is_resting and now_ns - self._last_ns >= REST_NS:
            done.append(Rest())
        for each in done:
            state = acted(state, each)
        return state
