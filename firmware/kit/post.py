"""One unit at its kit: a thread of its own publishes, hears, and hands both over without waiting.

Whoever draws leaves a copy of the newest moment and takes wishes; of both there is one slot or a
short queue, and nothing of the network is ever waited for there.
"""

import secrets
from collections import deque
from contextlib import suppress

from firmware.errors import ThreadStuckError
from firmware.health.condition import Condition
from firmware.journal.slate import Slate
from firmware.kit.around import PostAround
from firmware.kit.ear import Ear
from firmware.kit.line import SESSION_S, BrokerLine, Hears, Role
from firmware.kit.outbox import Outbox, slate_part
from firmware.kit.payloads import Condition_, Health, MarkNow, Message, Presence, PresetAnswer
from firmware.kit.reading import MomentCopy, reading_of
from firmware.kit.settings import RESERVED, KitSettings
from firmware.kit.spots import plain
from firmware.kit.topics import (
    FOR_ALL,
    FROM_UNITS,
    MOST_BYTES,
    QOS,
    RETAINED,
    ROOT,
    Topic,
    packed,
    topic_of,
)
from firmware.kit.wishes import MOST_WISHES, Wishes
from firmware.system.threads import Newest, Worker

TURN_S = 0.05
"""Longest wait for the network in one turn; a reading waits as long at the most."""
READING_NS = 200_000_000
"""From reading to reading: five a second."""
UNDERSTOOD_NS, UNITS_AT_ONCE = 100_000_000, 10
"""From reading what came to the next, for each so many units: a hundred units cost no more work
than ten, and the newest of each is read once a second."""
HEALTH_NS = 30_000_000_000
EXPIRES_S = 5
"""How long a wish to mark may be under way: later it would be another moment's mark."""
LEAVING_NS = 500_000_000
LEAVING_S = 3.0
"""How long a unit that is switched off may take to say so."""


class Post:
    """Publishes and hears, from `start` to `close`.

    Attributes
    ----------
    ear:
        What is heard of all units, this one among them.
    """

    def __init__(self, settings: KitSettings, around: PostAround) -> None:
        self.settings, self._around = settings, around
        self.boot = secrets.token_hex(16)
        self.ear = Ear(around.clock)
        self._outbox = Outbox(around.journal, settings.unit)
        self._moments: Newest[MomentCopy] = Newest()
        self._has_moment = False
        self._wishes: deque[Message] = deque(maxlen=MOST_WISHES)
        self._answers: deque[PresetAnswer] = deque(maxlen=1)
        self._told = Wishes(around, self._outbox)
        self._number = 0
        self._sent: dict[int, int] = {}
        now_ns = around.clock.now_ns()
        self._reading_ns, self._understood_ns = now_ns - READING_NS, now_ns
        self._health: tuple[Condition_, ...] | None = None
        self._health_ns = now_ns
        self._said: str | None = None
        will = packed(self._presence(online=False, left=False))
        topics = [(f"{ROOT}/+/{each.value}", QOS[each]) for each in FROM_UNITS]
        topics += [(topic_of(RESERVED, each), QOS[each]) for each in FOR_ALL]
        role = Role(
            f"midgrey-{settings.unit}",
            topics,
            (topic_of(settings.unit, Topic.PRESENCE), will),
            SESSION_S,
        )
        hears = Hears(self._heard, self._up, self._down, self._acknowledged)
        self._line = BrokerLine(settings, role, hears, around.clock)
        self._worker = Worker("kit", self.turn)

    # For the thread that draws

    def start(self) -> None:
        """Begin."""
        self._worker.start()

    @property
    def wants_moment(self) -> bool:
        """Whether a copy of the moment would be published now."""
        since_ns = self._around.clock.now_ns() - self._reading_ns
        return self._line.is_up and not self._has_moment and since_ns >= READING_NS

    def leave_moment(self, moment: MomentCopy) -> None:
        """Leave such a copy; an older one that still waits goes."""
        self._has_moment = True
        self._moments.put(moment)

    def mark_all(self, slate: Slate | None) -> bool:
        """Let every unit mark now, this one too; False where there is no connection."""
        if not self._line.is_up:
            return False
        part = None if slate is None else slate_part(slate)
        self._wishes.append(MarkNow(schema=1, id=secrets.token_hex(16), slate=part))
        return True

    def take_marks_asked(self) -> int:
        """How many marks were asked for through the broker since the last call."""
        return self._told.take_marks()

    def answer_preset(self, preset: str, words: str, *, taken: bool) -> None:
        """Say what became of a preset of that id, once there is a connection."""
        unit = self.settings.unit
        made = PresetAnswer(schema=1, unit=unit, id=preset, taken=taken, words=plain(words))
        self._answers.append(made)

    @property
    def is_up(self) -> bool:
        """Whether there is a connection."""
        return self._line.is_up

    @property
    def trouble(self) -> str:
        """Why there is no connection, or what else is wrong; empty where nothing is."""
        fault = self._worker.fault
        if fault is not None:
            return f"the kit has failed ({type(fault).__name__}): restart midgrey"
        return self._line.trouble or self._outbox.fault

    def close(self) -> None:
        """Say that this unit leaves, and end."""
        self._worker.ask_to_stop()
        with suppress(ThreadStuckError):  # a name that is looked up for long holds nothing
            self._worker.join(LEAVING_S)
            self._leave()

    # The kit's own thread

    def turn(self) -> None:
        """One turn: the network, then what is due."""
        self._outbox.begin()
        rest_s = self._line.turn(TURN_S)
        if rest_s > 0.0:
            self._worker.pause(min(rest_s, TURN_S))
        now_ns = self._around.clock.now_ns()
        self._say_once(self.trouble)
        if self._line.is_up:
            self._send_wishes()
            self._send_marks(now_ns)
            self._send_reading(now_ns)
            self._send_health(now_ns)
        elif self._moments.take(0.0) is not None:
            self._has_moment = False
        self._told.follow()
        rest_ns = UNDERSTOOD_NS * max(self.ear.count / UNITS_AT_ONCE, 1.0)
        if now_ns - self._understood_ns >= rest_ns:
            self._understood_ns = now_ns
            self.ear.understand()
            self.ear.take_marks()  # of a reader that keeps them; a unit shows the newest

    def _say_once(self, words: str) -> None:
        if not words and not self._line.is_up:
            return  # not tried yet
        if words != self._said:
            self._said = words
            self._around.say(words or f"the kit's broker {self.settings.broker} answers")

    def _presence(self, *, online: bool, left: bool) -> Presence:
        return Presence(schema=1, unit=self.settings.unit, online=online, left=left, boot=self.boot)

    def _publish(self, message: Message, topic: Topic, unit: str = "", *, expires: int = 0) -> int:
        sent = self._line.publish(
            topic_of(unit or self.settings.unit, topic),
            packed(message),
            qos=QOS[topic],
            retain=topic in RETAINED,
            expires_s=expires,
        )
        return 0 if sent is None else sent

    def _up(self, _knew: bool) -> None:
        self.ear.connected()
        self._health = None
        self._publish(self._presence(online=True, left=False), Topic.PRESENCE)

    def _down(self) -> None:
        self._sent.clear()
        self._outbox.broken(self._around.clock.now_ns())

    def _heard(self, topic: str, payload: bytes, is_kept: bool) -> None:
        if topic.startswith(f"{ROOT}/{RESERVED}/") and len(payload) <= MOST_BYTES:
            self._told.hear(topic, payload, is_kept=is_kept)
            return
        self.ear.take(topic, payload, is_kept=is_kept)

    def _acknowledged(self, number: int, is_taken: bool) -> None:
        row = self._sent.pop(number, None)
        if row is None:
            return
        if is_taken:
            self._outbox.acknowledged(row, self._around.clock.now_ns())
        else:
            self._sent.clear()
            self._outbox.broken(self._around.clock.now_ns())

    def _send_wishes(self) -> None:
        while self._wishes:
            self._publish(self._wishes.popleft(), Topic.MARK_NOW, RESERVED, expires=EXPIRES_S)
        while self._answers:
            self._publish(self._answers.popleft(), Topic.PRESET_ANSWER)

    def _send_marks(self, now_ns: int) -> None:
        for mark in self._outbox.due(now_ns):
            sent = self._publish(mark, Topic.MARK)
            if not sent:
                self._outbox.broken(now_ns)
                return
            self._sent[sent] = mark.number

    def _send_reading(self, now_ns: int) -> None:
        if not self._line.is_clear:
            return
        moment = self._moments.take(0.0)
        if moment is None:
            return
        self._reading_ns, self._has_moment = now_ns, False
        self._number += 1
        made = reading_of(moment, self.settings.unit, self.boot, self._number)
        self._publish(made, Topic.READING)

    def _send_health(self, now_ns: int) -> None:
        found = tuple(_condition(each) for each in self._around.health())[:32]
        if found == self._health and now_ns - self._health_ns < HEALTH_NS:
            return
        self._health, self._health_ns = found, now_ns
        made = Health(schema=1, unit=self.settings.unit, boot=self.boot, conditions=found)
        self._publish(made, Topic.HEALTH)

    def _leave(self) -> None:
        """Say so, and go once the broker has heard it: else it would tell of a broken cable."""
        if not self._line.is_up:
            return
        leaving = self._publish(self._presence(online=False, left=True), Topic.PRESENCE)
        self._sent[leaving] = 0
        end_ns = self._around.clock.now_ns() + LEAVING_NS
        while leaving in self._sent and self._line.is_up:
            self._line.turn(TURN_S)
            if self._around.clock.now_ns() > end_ns:
                break
        self._line.leave()


def _condition(condition: Condition) -> Condition_:
    return Condition_(
        subject=condition.subject.value,
        severity=condition.severity.name.lower(),
        words=plain(condition.words),
        remedy=plain(condition.remedy),
    )
