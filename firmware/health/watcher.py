"""Looks at the machine's health every few seconds, off the drawing path, and says the worst."""

from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass, replace

from firmware.clock import Clock
from firmware.errors import ThreadStuckError
from firmware.health.condition import Condition, Severity, Subject, worst
from firmware.health.judging import Before, Looks, judged
from firmware.system.threads import Worker

TURN_S = 1.0
"""The kernel keeps a dip of the supply for two seconds: half of that misses none."""

LOOK_NS = 5_000_000_000
"""Everything is looked at so often: heat and cards are slow."""

CLOSE_S = 0.25
"""How long a look under way may keep the appliance from stopping."""

STAY_NS = {Subject.POWER: 60_000_000_000}
"""How long a condition stays on the screen after it was last seen: a dip of the supply is over
before anybody looks up, and is the one that kills cards. Our own choice."""
STAY_ELSE_NS = 10_000_000_000


@dataclass(frozen=True, slots=True)
class _Seen:
    condition: Condition
    at_ns: int


class Steady:
    """Keeps what mattered for a while after it is over, so that the screen is calm. Pure."""

    def __init__(self) -> None:
        self._seen: dict[tuple[Subject, str], _Seen] = {}

    def take(self, now_ns: int, conditions: Iterable[Condition]) -> tuple[Condition, ...]:
        """What matters now or did just now."""
        grave = {c.key: c for c in conditions if c.severity >= Severity.WARNING}
        for condition in grave.values():
            self._seen[condition.key] = _Seen(condition, now_ns)
        self._seen = {key: each for key, each in self._seen.items() if _stays(each, now_ns)}
        return tuple(
            each.condition if key in grave else _over(each.condition)
            for key, each in self._seen.items()
        )


def _stays(seen: _Seen, now_ns: int) -> bool:
    return now_ns - seen.at_ns < STAY_NS.get(seen.condition.subject, STAY_ELSE_NS)


def _over(condition: Condition) -> Condition:
    """As it is spoken of afterwards: no graver than anything that lasts."""
    line = condition.line_after or condition.line
    return replace(condition, severity=Severity.WARNING, line=line)


class Watcher:
    """A thread that looks, and the answer at any moment.

    Parameters
    ----------
    look:
        Looks at everything; may take its time, up to seconds.
    is_low_voltage:
        Looks at the one thing that is over soon; None where it is not known.
    told:
        Handed all conditions after each look, on the watcher's thread.
    """

    def __init__(
        self,
        look: Callable[[int], Looks],
        clock: Clock,
        is_low_voltage: Callable[[], bool | None] = lambda: None,
        told: Callable[[int, tuple[Condition, ...]], None] = lambda _now_ns, _conditions: None,
    ) -> None:
        self._look, self._clock = look, clock
        self._is_low_voltage, self._told = is_low_voltage, told
        self._steady = Steady()
        self._before: Before = {}
        self._due_ns: int | None = None
        self._was_low, self._dips = False, 0
        self._worst: Condition | None = None
        self._worker = Worker("health", self._turn)

    @property
    def worst(self) -> Condition | None:
        """What is to stand on the screen now; answers at once."""
        fault = self._worker.fault
        if fault is None:
            return self._worst
        words = f"health is no longer watched ({type(fault).__name__})"
        line = f"{words}: restart midgrey"
        return Condition(Subject.SPEED, Severity.WARNING, words, "restart midgrey", line)

    def start(self) -> None:
        """Begin."""
        self._worker.start()

    def close(self) -> None:
        """Stop; a look that hangs in a dying card is left behind, it holds nothing."""
        self._worker.ask_to_stop()
        with suppress(ThreadStuckError):
            self._worker.join(CLOSE_S)

    def step(self) -> None:
        """One turn without its pause: look where it is time to."""
        now_ns = self._clock.now_ns()
        low = bool(self._is_low_voltage())
        changed, self._was_low = low is not self._was_low, low
        self._dips += int(changed and low)
        if self._due_ns is not None and now_ns < self._due_ns and not changed:
            return
        self._due_ns = now_ns + LOOK_NS
        conditions = judged(replace(self._look(now_ns), dips=self._dips), self._before)
        self._before = {each.key: each.severity for each in conditions}
        self._worst = worst(self._steady.take(now_ns, conditions))
        self._told(now_ns, conditions)

    def _turn(self) -> None:
        self.step()
        self._worker.pause(TURN_S)
