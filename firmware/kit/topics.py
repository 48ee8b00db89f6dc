"""Topics of a kit, what is said on each, and the one door by which anything comes in."""

import json
from dataclasses import dataclass
from enum import Enum
from typing import Any

from pydantic import ValidationError

from firmware.errors import KitError
from firmware.kit.payloads import (
    Health,
    KitMark,
    KitPreset,
    KitReading,
    KitSlate,
    MarkNow,
    Message,
    Missed,
    Presence,
    PresetAnswer,
)
from firmware.kit.settings import NAME, RESERVED

ROOT = "midgrey/1"
"""Before every topic; the number is that of the interface."""
MOST_BYTES = 32_768
"""Of a payload: nine pins with their sentences are some 20 000."""


class Topic(Enum):
    """The last level of a topic."""

    PRESENCE = "presence"
    READING = "reading"
    HEALTH = "health"
    MARK = "mark"
    PRESET_ANSWER = "preset-answer"
    SLATE = "slate"
    PRESET = "preset"
    MARK_NOW = "mark-now"
    MISSED = "missed"


MODELS: dict[Topic, type[Message]] = {
    Topic.PRESENCE: Presence,
    Topic.READING: KitReading,
    Topic.HEALTH: Health,
    Topic.MARK: KitMark,
    Topic.PRESET_ANSWER: PresetAnswer,
    Topic.SLATE: KitSlate,
    Topic.PRESET: KitPreset,
    Topic.MARK_NOW: MarkNow,
    Topic.MISSED: Missed,
}
FROM_UNITS = (Topic.PRESENCE, Topic.READING, Topic.HEALTH, Topic.MARK, Topic.PRESET_ANSWER)
FOR_ALL = (Topic.SLATE, Topic.PRESET, Topic.MARK_NOW, Topic.MISSED)
RETAINED = frozenset(Topic) - {Topic.MARK, Topic.MARK_NOW}
"""What the broker keeps for whoever comes later (MQTT 5.0, 3.3.1.3)."""
QOS = dict.fromkeys(Topic, 1) | {Topic.READING: 0}
"""At least once, but for readings, of which the next is as good (MQTT 5.0, 4.3)."""


@dataclass(frozen=True, slots=True)
class FromBroker:
    """Something that came: of or for which unit (`kit`: for all), on which topic, and what."""

    unit: str
    topic: Topic
    message: Any


def topic_of(unit: str, topic: Topic) -> str:
    """The whole topic.

    Examples
    --------
    >>> topic_of("cam-b", Topic.READING)
    'midgrey/1/cam-b/reading'
    """
    return f"{ROOT}/{unit}/{topic.value}"


def packed(message: Message) -> bytes:
    """A message as it is sent."""
    return message.model_dump_json(by_alias=True).encode()


def parsed(topic: str, payload: bytes) -> FromBroker:
    """What came.

    Raises
    ------
    KitError
        It is none of ours.
    """
    unit, kind = _levels(topic)
    if len(payload) > MOST_BYTES:
        raise KitError(f"{topic}: {len(payload)} bytes are more than any of ours; passed over")
    try:
        # pydantic's own reader takes NaN for a number; Python's is told what it is.
        found = json.loads(payload, parse_constant=_none)
        # In the mode of JSON, in which a list may be a tuple.
        message = MODELS[kind].model_validate_json(json.dumps(found))
    except ValidationError as fault:
        first = fault.errors(include_url=False, include_input=False)[0]
        where = ".".join(str(each) for each in first["loc"])
        raise KitError(f"{topic}: {where or 'the whole'} is not understood; passed over") from None
    except (ValueError, RecursionError):
        raise KitError(f"{topic}: is no object of JSON; passed over") from None
    if kind in FROM_UNITS and getattr(message, "unit", unit) != unit:
        raise KitError(f"{topic}: speaks of another unit than its topic; passed over")
    return FromBroker(unit, kind, message)


def _none(name: str) -> Any:  # noqa: ANN401 - never gives anything
    raise ValueError(name)


def _levels(topic: str) -> tuple[str, Topic]:
    head, _, kind = topic.rpartition("/")
    root, _, unit = head.rpartition("/")
    known = {each.value: each for each in Topic}
    is_unit = bool(NAME.fullmatch(unit))
    if root != ROOT or kind not in known or not is_unit:
        raise KitError("a topic that is none of midgrey's; passed over")
    if (known[kind] in FROM_UNITS) is (unit == RESERVED):
        raise KitError(f"{topic}: units speak for themselves and {RESERVED} for all; passed over")
    return unit, known[kind]
