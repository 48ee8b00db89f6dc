"""From a measured frame to a row of the journal."""

import re
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from firmware.answers.cleaner import clean, enveloped
from firmware.feeds.base import FeedInfo
from firmware.instruments.codes import cut
from firmware.instruments.desk import Desk
from firmware.instruments.registry import REGISTRY, Line, Registry
from firmware.instruments.scene import Scene
from firmware.journal.counted import Counted
from firmware.journal.evidence import evidence_object, of_pins
from firmware.journal.found_again import decided_object, others_object
from firmware.journal.inputs import Inputs, profile_of, settings_object
from firmware.journal.mark_numbers import Evidence, of_answer, of_line, spots_of
from firmware.journal.row import JournalRow, RowKind, Stamp
from firmware.journal.slate import Slate
from firmware.journal.small import small_of
from firmware.opening.read_with import ReadWith
from firmware.system.threads import Aside
from overlays.draw.layout.views import View
from overlays.measure.counting.census import Census, Wants, take_census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.range import Extremes, RangeReading
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.frame import Frame
from overlays.signal.signal import Components

COUNTED = Wants.LEVELS | Wants.CLIPPING | Wants.CHROMA


@dataclass(frozen=True, slots=True, eq=False)
class InView:
    """What was in view when a mark was asked for.

    Attributes
    ----------
    frame:
        A copy that stays.
    yard, place, range:
        What it was measured with; the spot; its extremes, None where they are not known.
    view, settings, answer:
        What was shown, what its instrument was set to, and what that found, None where nothing.
    desk, read_with, profile_text:
        Pins and dial; profile and gamut on the feed, and the profile's whole text.
    slate, stamp:
        The clapper board, and when.
    line:
        The instrument whose answer it is, where no view was shown: of a command.
    census:
        A copy of the frame's counts, taken with `yard`; None where they are to be counted.
    """

    frame: Frame
    yard: Yardstick
    place: SpotPlace
    range: RangeReading | None
    view: View | None
    settings: Any
    answer: object
    desk: Desk
    read_with: ReadWith
    profile_text: str
    slate: Slate
    stamp: Stamp
    line: Line | None = None
    census: Census | None = None


def mark_of(
    taken: InView,
    health: Callable[[], object] = lambda: None,
    registry: Registry = REGISTRY,
) -> JournalRow:
    """The row of a mark.

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
    counting = _counting(taken, line)
    small = Aside("small", lambda: small_of(frame, taken.yard, counting.few))
    scene, kept = _scene(taken, line, counting)
    read = spots_of(scene, registry)
    before, answer, again = _before(taken, line), None, None
    decided: Any = None
    if line is not None:
        earlier = None if before is None else before[0].scene()
        answer = again = of_line(scene, line, taken.settings, earlier)
        if again is None or taken.view is None:
            answer, decided = _answer(taken, line, scene)
        if again is not None and (answer is None or of_answer(again) != of_answer(answer)):
            again = None  # a command was asked for more than codes of places give
    said = {}
    if line is not None and taken.answer is not None:
        said = line.instrument.words(taken.answer)
    body = {
        "read": read,
        "answer": answer,
        "answer_from_codes": again is not None,
        "said": said,
        **evidence_object(kept, taken.profile_text),
        "feed": {
            "description": read_with.info.description,
            "device": read_with.info.device,
            "rate": read_with.info.rate,
        },
        "settings": None if again is None else settings_object(taken.settings),
        "health": clean(health()),
        "files": _files(taken, line),
    }
    packed = kept.codes.packed
    if before is not None:
        body["before"] = evidence_object(*before)
        packed += before[0].codes.packed
    if again is None and decided is not None and line is not None:
        others = others_object(line.instrument.places(taken.answer), taken.profile_text)
        if others is not None:
            body |= {"decided": decided, "others": others[0]}
            packed += others[1]
    pictures = small.result()
    blobs = {"codes": packed, "still": pictures.still, "trace": pictures.trace}
    if pictures.chroma:
        blobs["chroma"] = pictures.chroma
    return JournalRow(RowKind.MARK, taken.stamp, _head(taken, read, said, line), body, blobs)


def _answer(taken: InView, line: Line, scene: Scene) -> tuple[Any, Any]:
    """The object of an answer that codes of places alone do not give, and what it is made of."""
    if taken.answer is None or not line.instrument.has_object(taken.answer):
        return None, None
    found = taken.answer if taken.view is None else line.instrument.anew(taken.answer, scene)
    return enveloped(line.object_of(found)), decided_object(found, line, scene)


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


def _before(taken: InView, line: Line | None) -> tuple[Evidence, str] | None:
    """What an earlier scene's pins are read from, where the answer rests on one."""
    if line is None or taken.answer is None:
        return None
    scene = line.instrument.before(taken.answer)
    return None if scene is None else of_pins(scene)


def _files(taken: InView, line: Line | None) -> list[dict[str, str]]:
    """What the instrument has to hand on besides: an ASC CDL where a match made one."""
    if line is None or taken.answer is None:
        return []
    named = "-".join(re.findall(r"\w+", taken.slate.words)) or "mark"
    found = line.instrument.files(taken.answer, named)
    return [{"ending": each.ending, "text": each.content.decode()} for each in found]


@dataclass(frozen=True, slots=True)
class _Counting:
    """Counts of a frame: what is there at once, and R, G and B by level, which take longest."""

    few: Census
    channels: Aside[Census] | None = None

    def whole(self) -> Census:
        """With R, G and B by level, where a number is made of them."""
        return (
            self.few if self.channels is None else replace(self.few, rgb=self.channels.result().rgb)
        )


def _counting(taken: InView, line: Line | None) -> _Counting:
    """Count what nobody has counted yet, R, G and B beside all that needs them later."""
    found, frame, yard, there = taken.range, taken.frame, taken.yard, taken.census
    is_known = found is not None and found.flat_top is not None
    by_channel = is_known or (line is not None and Wants.RGB in line.instrument.counts_when_due)
    if there is not None and Wants.RGB in there.has(Wants.RGB):
        return _Counting(_completed(there, taken, COUNTED | Wants.RGB if by_channel else COUNTED))
    channels = None
    if by_channel:
        channels = Aside("channels", lambda: take_census(frame, yard, Wants.RGB))
    few = take_census(frame, yard, COUNTED) if there is None else _completed(there, taken, COUNTED)
    return _Counting(few, channels)


def _scene(taken: InView, line: Line | None, counting: _Counting) -> tuple[Scene, Evidence]:
    """What the numbers are made of: codes of places alone, and counts of the whole by level."""
    frame, extremes = taken.frame, None if taken.range is None else Extremes.of(taken.range)
    inputs = replace(
        Inputs.of(frame, taken.yard, taken.desk, taken.place, taken.read_with), extremes=extremes
    )
    places = [taken.place, *(pin.place for pin in taken.desk.pins), *inputs.things]
    # The profile of the text that is kept: what is read here is what is read again later.
    profile = profile_of(taken.profile_text, taken.read_with.profile.name)
    codes = cut(frame, places)
    kept = Evidence(codes, replace(inputs, counts=Counted.of(counting.whole())), profile)
    scene = kept.scene()
    more: Sequence[SpotPlace] | None = None
    if line is not None:
        more = line.instrument.rests_on(scene, taken.settings)
    if not set(more or ()) <= set(places):
        kept = replace(kept, codes=cut(frame, [*places, *(more or ())]))
        scene = kept.scene()
    # Named as it came; numbers are those of the text.
    scene.read_with = taken.read_with
    scene.frame = replace(scene.frame, notes=frame.notes, timecode=frame.timecode)
    return scene, kept


def _completed(census: Census, taken: InView, wants: Wants) -> Census:
    """The counts that there are, and those that are missing: nothing is counted twice."""
    missing = wants & ~census.has(wants)
    if taken.frame.signal.components is Components.RGB:
        missing &= ~Wants.CHROMA  # it has none
    if missing:
        more = take_census(taken.frame, taken.yard, missing)
        census = replace(
            census,
            chroma=more.chroma if Wants.CHROMA in missing else census.chroma,
            rgb=more.rgb if Wants.RGB in missing else census.rgb,
            clipped=more.clipped if Wants.CLIPPING in missing else census.clipped,
        )
    is_wanted = Wants.RGB in wants or taken.frame.signal.components is Components.RGB
    return census if is_wanted else replace(census, rgb=None)


def _timecode_rate(info: FeedInfo) -> float | None:
    """Numbers of the time code in a second; half of the frames where they are numbered in pairs."""
    code = info.timecode
    return None if code is None or info.rate <= 0.0 else info.rate / code.counting.sharing


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
        "words": "; ".join(f"{k}: {v}" if k else v for k, v in said.items() if v),
        **{key: spot.get(key) for key in ("stops", "stops_pm", "percent", "percent_pm")},
        "at_least": spot.get("at_least", False),
        "at_most": spot.get("at_most", False),
        "pins": len(taken.desk.pins),
    }
