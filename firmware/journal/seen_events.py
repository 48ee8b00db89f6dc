"""What instruments saw by themselves, on its way to a row of the journal."""

from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from firmware.instruments.registry import REGISTRY, Line, Registry
from firmware.instruments.scene import Scene
from firmware.journal.backlog import MISSED
from firmware.journal.evidence import evidence_object, of_places
from firmware.journal.inputs import decided_of, settings_object
from firmware.journal.made_again import found_of, grounds_object
from firmware.journal.mark_numbers import spots_of
from firmware.journal.row import SCHEMA, JournalRow, RowKind, Stamp
from firmware.journal.slate import Slate

MOST_EVENTS, PACE_NS = 12, 60_000_000_000
"""Events of a minute that are journalled with the codes of their pins; more come without."""


@dataclass(frozen=True, slots=True, eq=False)
class SeenEvent:
    """Something that an instrument saw by itself: of which feed, when, and the codes it is made of.

    `codes` are the instrument's own; None where there are none. `missed` is how many events before
    it were not kept.
    """

    event: object
    line: Line
    feed: str
    stamp: Stamp
    codes: Any = None
    missed: int = 0


class EventPace:
    """Lets so many events of a minute keep their codes: light that flickers must not fill a card.

    `most` are kept within `within_ns`.
    """

    def __init__(self, most: int = MOST_EVENTS, within_ns: int = PACE_NS) -> None:
        self._within_ns = within_ns
        self._lately: deque[int] = deque(maxlen=most)

    def of(self, happened: SeenEvent, *, waits: int = 0) -> SeenEvent:
        """The same; without codes where they come too fast, or as many wait for the card."""
        now_ns, lately = happened.stamp.at_ns, self._lately
        if happened.codes is None:
            return happened
        is_fast = len(lately) == lately.maxlen and now_ns - lately[0] < self._within_ns
        if is_fast or waits >= MOST_EVENTS:
            return replace(happened, codes=None)
        lately.append(now_ns)
        return happened


def fresh_of(
    line: Line,
    memory: Any,  # noqa: ANN401 - each instrument has its own
    before: tuple[Any, ...],
    feed: str,
    stamp: Callable[[], Stamp],
) -> tuple[tuple[Any, ...], list[SeenEvent]]:
    """All events of an instrument, and those of them that were not there before.

    `stamp` is asked only where there are any: it looks at the kernel and the card, and this is
    called for every instrument at every turn of the loop.
    """
    instrument = line.instrument
    now = instrument.events(memory)
    if now is before:
        return now, []
    known = {id(each) for each in before}
    fresh = [each for each in now if id(each) not in known]
    if not fresh:
        return now, []
    at, kept = stamp(), [instrument.seen_at(memory, each) for each in fresh]
    return now, [SeenEvent(one, line, feed, at, its) for one, its in zip(fresh, kept, strict=True)]


def event_of(happened: SeenEvent, slate: Slate, registry: Registry = REGISTRY) -> JournalRow:
    """The row of something that an instrument saw by itself, with the codes that it is made of.

    Where these are gone, or too many came at once, it is said without any number that was measured.
    """
    line = happened.line
    grounds = line.from_codes.keep_event(happened.event, happened.codes)
    seen = of_places(grounds.scenes[0]) if grounds.scenes else None
    body: dict[str, Any] = {"schema": SCHEMA}
    if happened.missed:
        body[MISSED] = happened.missed
    blobs: dict[str, bytes] = {}
    scene, packed = None, b""
    if seen is not None:
        scene = seen[0].scene()
        body["seen"] = {"read": spots_of(scene, registry), **evidence_object(*seen)}
        kept, packed = grounds_object(replace(grounds, scenes=()), scene, "")
        body |= kept
        blobs["codes"] = seen[0].codes.packed + packed
    else:
        body["made_of"] = settings_object(grounds.made_of)
    body["event"] = found = event_again(line, body, packed, scene)
    head = {
        "slate": asdict(slate),
        "feed": happened.feed,
        "view": line.instrument.name,
        "words": found.get("words", ""),
        "change": found.get("change"),
        "timecode": (found.get("start") or {}).get("timecode"),
    }
    return JournalRow(RowKind.EVENT, happened.stamp, head, body, blobs)


def event_again(
    line: Line, body: Mapping[str, Any], packed: bytes, scene: Scene | None
) -> dict[str, Any]:
    """The object of an event by what its row keeps of it; `scene` is None where it has no codes.

    Raises
    ------
    JournalError, KeyError, TypeError, ValueError
        It makes no sense.
    """
    kind = line.from_codes.EVENT_MADE_OF
    if scene is None:
        made: dict[str, Any] = line.from_codes.event(decided_of(body["made_of"], kind), None, {})
        return made
    found = found_of(body, packed, scene, kind)
    again: dict[str, Any] = line.from_codes.event(found.made_of, scene.yard, found.frames)
    return again
