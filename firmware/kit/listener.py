"""Somebody who only hears: the command `units`, or a desk that keeps the record of a whole kit."""

import secrets

from firmware.clock import Clock
from firmware.kit.ear import Ear
from firmware.kit.line import SESSION_S, BrokerLine, Hears, Role
from firmware.kit.payloads import Message, Missed
from firmware.kit.settings import RESERVED, KitSettings
from firmware.kit.topics import FROM_UNITS, QOS, RETAINED, ROOT, Topic, packed, topic_of


class Listener:
    """Hears a kit, turn by turn.

    Parameters
    ----------
    settings:
        Where it is, and by which name and password.
    session:
        What the broker is to know it by, so that it keeps what was missed; empty for once.

    Attributes
    ----------
    ear:
        What is heard.
    """

    def __init__(self, settings: KitSettings, clock: Clock, session: str = "") -> None:
        self.ear = Ear(clock)
        topics = [(f"{ROOT}/+/{each.value}", QOS[each]) for each in FROM_UNITS]
        role = Role(session, topics, None, SESSION_S if session else 0)
        self._has_session = bool(session)
        hears = Hears(self._take, self._up, sent=self._answered)
        self._taken: dict[int, bool] = {}
        self._line = BrokerLine(settings, role, hears, clock)

    def _up(self, knew_session: bool) -> None:
        self.ear.connected()
        if self._has_session and not knew_session:
            # A broker that lost its power may have let marks go by meanwhile: units say them again.
            self.say(RESERVED, Topic.MISSED, Missed(schema=1, id=secrets.token_hex(16)))

    def _take(self, topic: str, payload: bytes, is_kept: bool) -> None:
        self.ear.take(topic, payload, is_kept=is_kept)

    def turn(self, seconds: float) -> float:
        """Go on for so long at the most; how long of it is left to be waited."""
        rest_s = self._line.turn(seconds)
        self.ear.understand()
        return rest_s

    def _answered(self, number: int, is_taken: bool) -> None:
        self._taken[number] = is_taken

    def say(self, unit: str, topic: Topic, message: Message) -> int | None:
        """Say something; the number that it is acknowledged by, None without a connection."""
        return self._line.publish(
            topic_of(unit, topic), packed(message), qos=QOS[topic], retain=topic in RETAINED
        )

    def took(self, number: int) -> bool | None:
        """Whether the broker took what was said under that number; None until it answers."""
        return self._taken.get(number)

    @property
    def is_up(self) -> bool:
        """Whether the broker has taken it in."""
        return self._line.is_up

    @property
    def trouble(self) -> str:
        """Why not, as one sentence."""
        return self._line.trouble

    def close(self) -> None:
        """Hear no more."""
        self._line.leave()
