"""What a unit hears of the others: the newest of each, how old it is, and their marks, each once.

What comes is left as it came; it is understood a few times a second at the most, however many units
there are. How old a reading is goes by its own unit's clock: of all that came over one connection
the quickest is taken to have been at once, and whatever took longer has waited on the way. So
readings that come in a burst after the network was away are known to be old ones.
"""

from collections import OrderedDict, deque
from dataclasses import dataclass
from threading import Lock

from firmware.clock import Clock
from firmware.errors import KitError
from firmware.kit.payloads import Health, KitMark, KitReading, Presence, PresetAnswer
from firmware.kit.topics import Topic, parsed

FRESH_NS = 2_500_000_000
"""Readings come every fifth of a second, and every second where nothing changes: two that are
missing are an accident, more are silence."""
MOST_UNITS = 256
MOST_MARKS = 2000
"""Ids that are remembered, and marks that wait to be taken."""
MOST_AT_ONCE = 300
"""Messages that are understood in one turn; the rest in the next."""


@dataclass(frozen=True, slots=True)
class HeardNow:
    """One unit, as it stands.

    Attributes
    ----------
    name:
        Of the unit.
    presence, reading, health:
        The newest of each; None where nothing came.
    age_ns:
        Of the reading; None where it was kept by the broker and nobody knows how old it is.
    wall_s:
        Time of day here when the reading came.
    marks, last_mark:
        How many came since this unit listens, and the newest.
    preset:
        What became there of the kit's newest preset; None where nobody said.
    """

    name: str
    presence: Presence | None = None
    reading: KitReading | None = None
    health: Health | None = None
    age_ns: int | None = None
    wall_s: float = 0.0
    marks: int = 0
    last_mark: KitMark | None = None
    preset: PresetAnswer | None = None

    @property
    def is_online(self) -> bool:
        """Whether the broker has not said that it is gone."""
        return self.presence is not None and self.presence.online

    @property
    def is_fresh(self) -> bool:
        """Whether it speaks now."""
        return self.is_online and self.age_ns is not None and self.age_ns <= FRESH_NS

    @property
    def absence(self) -> str:
        """Why it does not, in words; empty where it does."""
        if self.is_fresh:
            return ""
        if self.presence is not None and not self.presence.online:
            return "was switched off" if self.presence.left else "is cut off"
        if self.reading is None or self.age_ns is None:
            return "was not heard yet"
        return f"was last heard {round(self.age_ns / 1e9)} s ago"


@dataclass(slots=True)
class _Known:
    presence: Presence | None = None
    reading: KitReading | None = None
    health: Health | None = None
    at_ns: int | None = None
    """When the reading was made, on the clock here."""
    wall_s: float = 0.0
    boot: str = ""
    least_ns: int | None = None
    marks: int = 0
    last_mark: KitMark | None = None
    preset: PresetAnswer | None = None


@dataclass(frozen=True, slots=True)
class _Came:
    topic: str
    payload: bytes
    is_kept: bool
    at_ns: int


@dataclass(slots=True)
class Refused:
    """What came and was none of ours: how often, and why the last was not."""

    count: int = 0
    why: str = ""


class Ear:
    """Takes what comes in one thread; answers in any."""

    def __init__(self, clock: Clock) -> None:
        self._clock, self._one = clock, Lock()
        self._newest: OrderedDict[str, _Came] = OrderedDict()
        self._marks_in: deque[_Came] = deque(maxlen=MOST_MARKS)
        self._known: dict[str, _Known] = {}
        self._ids: OrderedDict[str, None] = OrderedDict()
        self._fresh_marks: deque[KitMark] = deque(maxlen=MOST_MARKS)
        self.refused = Refused()

    def take(self, topic: str, payload: bytes, *, is_kept: bool) -> None:
        """Leave what came; a newer one of a topic takes the place of an older, but for marks."""
        came = _Came(topic, payload, is_kept, self._clock.now_ns())
        with self._one:
            if topic.endswith(f"/{Topic.MARK.value}"):
                self._marks_in.append(came)
            elif topic in self._newest or len(self._newest) < 4 * MOST_UNITS:
                self._newest[topic] = came

    def connected(self) -> None:
        """A connection began: how long it takes at the least is learnt anew."""
        with self._one:
            for each in self._known.values():
                each.least_ns = None

    def understand(self) -> None:
        """Read what came since the last time."""
        with self._one:
            every: list[_Came] = []
            while self._newest and len(every) < MOST_AT_ONCE:
                every.append(self._newest.popitem(last=False)[1])
            while self._marks_in and len(every) < 2 * MOST_AT_ONCE:
                every.append(self._marks_in.popleft())
        for came in every:
            try:
                self._read(came)
            except KitError as fault:
                self.refused = Refused(self.refused.count + 1, str(fault))

    def _read(self, came: _Came) -> None:
        said = parsed(came.topic, came.payload)
        with self._one:
            if said.unit not in self._known and len(self._known) >= MOST_UNITS:
                raise KitError(f"more than {MOST_UNITS} units: {said.unit} is passed over")
            known = self._known.setdefault(said.unit, _Known())
            message = said.message
            if isinstance(message, Presence):
                known.presence = _said_last(known.presence, message)
            elif isinstance(message, Health):
                known.health = message
            elif isinstance(message, PresetAnswer):
                known.preset = message
            elif isinstance(message, KitReading):
                self._take_reading(known, message, came)
            elif isinstance(message, KitMark) and message.id not in self._ids:
                self._ids[message.id] = None
                if len(self._ids) > MOST_MARKS:
                    self._ids.popitem(last=False)
                known.marks += 1
                known.last_mark = message
                self._fresh_marks.append(message)

    def _take_reading(self, known: _Known, reading: KitReading, came: _Came) -> None:
        same_run = known.boot == reading.boot and known.reading is not None
        if same_run and known.reading is not None and reading.number < known.reading.number:
            return  # an older one that the broker kept
        if not same_run:
            known.boot, known.least_ns, known.at_ns = reading.boot, None, None
        known.reading = reading
        if came.is_kept:
            return
        took_ns = came.at_ns - round(reading.at_s * 1e9)
        if known.least_ns is None or took_ns < known.least_ns:
            known.least_ns = took_ns
        known.at_ns = came.at_ns - (took_ns - known.least_ns)
        known.wall_s = self._clock.wall_s()

    @property
    def count(self) -> int:
        """How many units were heard."""
        return len(self._known)

    def units(self) -> tuple[HeardNow, ...]:
        """All that were heard, by name."""
        now_ns = self._clock.now_ns()
        with self._one:
            return tuple(
                HeardNow(
                    name,
                    each.presence,
                    each.reading,
                    each.health,
                    None if each.at_ns is None else max(now_ns - each.at_ns, 0),
                    each.wall_s,
                    each.marks,
                    each.last_mark,
                    each.preset,
                )
                for name, each in sorted(self._known.items())
            )

    def take_marks(self) -> list[KitMark]:
        """Marks that came since the last call, each once."""
        with self._one:
            found = list(self._fresh_marks)
            self._fresh_marks.clear()
        return found


def _said_last(before: Presence | None, now: Presence) -> Presence:
    """What holds: of a unit that has said that it leaves, a will says nothing more."""
    if before is None or before.boot != now.boot or now.online:
        return now
    return before if before.left else now
