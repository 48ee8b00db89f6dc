"""What instruments saw by themselves, on its way to a row of the journal."""

from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from firmware.answers.cleaner import clean
from firmware.instruments.kept_places import KeptPlaces
from firmware.instruments.registry import REGISTRY, Line, Registry
from firmware.journal.evidence import evidence_object, of_places
from firmware.journal.inputs import settings_object
from firmware.journal.mark_numbers import spots_of
from firmware.journal.row import JournalRow, RowKind, Stamp
from firmware.journal.slate import Slate

MOST_EVENTS, PACE_NS = 12, 60_000_000_000
"""Events of a minute that are journalled with the codes of their pins; more come without."""


@dataclass(frozen=True, slots=True, eq=False)
class SeenEvent:
    """Something that an instrument saw by itself: of which feed, when, and its pins' codes then."""

    event: object
    line: Line
    feed: str
    stamp: Stamp
    kept: KeptPlaces | None = None


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
        if happened.kept is None:
            return happened
        is_fast = len(lately) == lately.maxlen and now_ns - lately[0] < self._within_ns
        if is_fast or waits >= MOST_EVENTS:
            return replace(happened, kept=None)
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
    """The row of something that an instrument saw by itself, with its pins' codes at that time."""
    event, line = happened.event, happened.line
    found: Mapping[str, Any] = clean(line.event_object_of(event))
    head = {
        "slate": asdict(slate),
        "feed": happened.feed,
        "view": line.instrument.name,
        "words": found.get("words", ""),
        "change": found.get("change"),
        "timecode": (found.get("start") or {}).get("timecode"),
    }
    body: dict[str, Any] = {"event": found}
    blobs: dict[str, bytes] = {}
    if line.recomputed is not None:
        body["decided"] = settings_object(line.recomputed.event_decided(event))
    kept = None if happened.kept is None else of_places(happened.kept)
    if kept is not None:
        body["seen"] = {"read": spots_of(kept[0].scene(), registry), **evidence_object(*kept)}
        blobs["codes"] = kept[0].codes.packed
    return JournalRow(RowKind.EVENT, happened.stamp, head, body, blobs)
