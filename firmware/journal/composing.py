"""From a measured frame to a row of the journal."""

import re
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from typing import Any

from firmware.answers.cleaner import clean
from firmware.errors import JournalError
from firmware.feeds.base import FeedInfo
from firmware.instruments.registry import REGISTRY, Line, Registry
from firmware.instruments.scene import Scene
from firmware.journal.backlog import MISSED
from firmware.journal.evidence import evidence_object, of_pins
from firmware.journal.in_view import InView, counting_of, scene_of
from firmware.journal.inputs import settings_object
from firmware.journal.made_again import found_of, grounds_object
from firmware.journal.mark_numbers import Evidence, answer_object, answer_of, of_answer, spots_of
from firmware.journal.row import SCHEMA, JournalRow, RowKind
from firmware.journal.slate import Slate
from firmware.journal.small import small_of
from firmware.system.threads import Aside


@dataclass(frozen=True, slots=True)
class _Answered:
    """What the instrument in view found, made of what is kept, and what is kept for it."""

    answer: object = None
    object: Any = None
    from_codes: bool = False
    body: dict[str, Any] | None = None
    packed: bytes = b""


def mark_of(
    taken: InView,
    health: Callable[[], object] = lambda: None,
    registry: Registry = REGISTRY,
) -> JournalRow:
    """The row of a mark: every number in it is made of the codes and counts that it keeps.

    Parameters
    ----------
    taken:
        What was in view.
    health:
        How the machine is, as anything that can stand in an object of JSON.
    """
    line = taken.line
    if taken.view is not None:
        line = registry.line_of(registry.in_view(taken.view))
    taken = _settled(taken, line)
    frame, read_with = taken.frame, taken.read_with
    counting = counting_of(taken, line)
    small = Aside("small", lambda: small_of(frame, taken.yard, counting.few))
    scene, kept = scene_of(taken, line, counting)
    read = spots_of(scene, registry)
    made = _answered(taken, line, scene)
    said = {}
    if line is not None and made.answer is not None:
        said = line.instrument.words(made.answer)
    body = {
        "schema": SCHEMA,
        "read": read,
        "answer": made.object,
        "answer_from_codes": made.from_codes,
        "said": said,
        **evidence_object(kept, taken.profile_text),
        "feed": {
            "description": read_with.info.description,
            "device": read_with.info.device,
            "rate": read_with.info.rate,
        },
        "settings": settings_object(taken.settings) if made.from_codes else None,
        "health": clean(health()),
        "files": files_of(made.answer, line, asdict(taken.slate)),
        **(made.body or {}),
        **({MISSED: taken.missed} if taken.missed else {}),
    }
    pictures = small.result()
    packed = kept.codes.packed + made.packed
    blobs = {"codes": packed, "still": pictures.still, "trace": pictures.trace}
    if pictures.chroma:
        blobs["chroma"] = pictures.chroma
    return JournalRow(RowKind.MARK, taken.stamp, _head(taken, read, said, line), body, blobs)


def _answered(taken: InView, line: Line | None, scene: Scene) -> _Answered:
    """The answer, of what its instrument keeps besides codes of places, else of those alone."""
    if line is None:
        return _Answered()
    grounds = None
    if line.from_codes is not None and taken.answer is not None:
        grounds = line.from_codes.keep(taken.answer)
    if grounds is None:
        return _of_places(taken, line, scene)
    body, packed = grounds_object(grounds, scene, taken.profile_text)
    whole = {**body, "profile": {"text": taken.profile_text, "name": taken.read_with.profile.name}}
    try:
        answer = line.from_codes.answer(found_of(whole, packed, scene, line.from_codes.MADE_OF))
    except JournalError:  # codes of a reading are gone with its profile: nothing is said of it
        return _Answered()
    return _Answered(answer, answer_object(answer, line), False, body, packed)


def _of_places(taken: InView, line: Line, scene: Scene) -> _Answered:
    """The answer of codes of places of this frame, and of those of one before where it has one."""
    before = _before(taken, line)
    earlier = None if before is None else before[0].scene()
    answer = answer_of(scene, line, taken.settings, earlier)
    if answer is None:
        return _Answered()
    body, packed = {}, b""
    if before is not None:
        body, packed = {"before": evidence_object(*before)}, before[0].codes.packed
    return _Answered(answer, _told(taken, answer, line), True, body, packed)


def _told(taken: InView, answer: object, line: Line) -> Any:  # noqa: ANN401 - JSON
    """The object of an answer; as a command gave it, where the codes give all of its numbers."""
    found = answer_object(answer, line)
    if found is None or taken.view is not None or taken.answer is None:
        return found
    told = answer_object(taken.answer, line)
    return told if told is not None and of_answer(told) == of_answer(found) else found


def _settled(taken: InView, line: Line | None) -> InView:
    """With the settings by which its answer is found where it was found; a command had its own."""
    if line is None:
        return taken
    settings, instrument = taken.settings, line.instrument
    if taken.view is None:
        read_with = taken.read_with
        settings = instrument.settings(read_with.profile, read_with.info.rate)
    if taken.answer is not None:
        settings = instrument.settled(settings, taken.answer)
    return replace(taken, settings=settings)


def _before(taken: InView, line: Line) -> tuple[Evidence, str] | None:
    """What an earlier scene's pins are read from, where the answer rests on one."""
    if taken.answer is None:
        return None
    scene = line.instrument.before(taken.answer)
    return None if scene is None else of_pins(scene)


def files_of(answer: object, line: Line | None, slate: dict[str, Any]) -> list[dict[str, str]]:
    """What the instrument has to hand on besides: an ASC CDL where a match made one."""
    if line is None or answer is None:
        return []
    named = "-".join(re.findall(r"\w+", Slate(**slate).words)) or "mark"
    found = line.instrument.files(answer, named)
    return [{"ending": each.ending, "text": each.content.decode()} for each in found]


def _timecode_rate(info: FeedInfo) -> float | None:
    """Numbers of the time code in a second; half of the frames where they are numbered in pairs."""
    code = info.timecode
    return None if code is None or info.rate <= 0.0 else info.rate / code.counting.sharing


def words_of(said: dict[str, str]) -> str:
    """What the instrument says in one line."""
    return "; ".join(f"{k}: {v}" if k else v for k, v in said.items() if v)


def _head(
    taken: InView, read: dict[str, Any], said: dict[str, str], line: Line | None
) -> dict[str, Any]:
    spot = read["spots"][0] if read["spots"] else {}
    feed = read["feed"]
    return {
        "slate": asdict(taken.slate),
        "feed": feed["name"],
        "simulated": feed["simulated"],
        "frame": feed["frame"],
        "timecode": feed["timecode"],
        "timecode_from": feed["timecode_from"],
        "timecode_rate": _timecode_rate(taken.read_with.info),
        "rate": taken.read_with.info.rate,
        "profile": taken.read_with.profile.name,
        "curve": read["profile"]["curve"],
        "view": None if taken.view is None else taken.view.name,
        "instrument": None if line is None else line.instrument.name,
        "words": words_of(said),
        **{key: spot.get(key) for key in ("stops", "stops_pm", "percent", "percent_pm")},
        "at_least": spot.get("at_least", False),
        "at_most": spot.get("at_most", False),
        "pins": len(taken.desk.pins),
    }
