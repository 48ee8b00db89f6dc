"""What was in view when a mark was asked for, and the codes and counts that its numbers are of."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from firmware.instruments.codes import cut
from firmware.instruments.counted import Counted
from firmware.instruments.desk import Desk
from firmware.instruments.registry import Line
from firmware.instruments.scene import Scene
from firmware.journal.inputs import Inputs, profile_of
from firmware.journal.mark_numbers import Evidence
from firmware.journal.row import Stamp
from firmware.journal.slate import Slate
from firmware.opening.read_with import ReadWith
from firmware.system.threads import Aside
from overlays.draw.layout.views import View
from overlays.measure.counting.census import Census, Wants, take_census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.range_reading import Extremes, RangeReading
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
    missed:
        Events before it that were not kept.
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
    missed: int = 0


@dataclass(frozen=True, slots=True)
class MarkCounts:
    """Counts of a frame: what is there at once, and R, G and B by level, which take longest."""

    few: Census
    channels: Aside[Census] | None = None

    def whole(self) -> Census:
        """With R, G and B by level, where a number is made of them."""
        return (
            self.few if self.channels is None else replace(self.few, rgb=self.channels.result().rgb)
        )


def counting_of(taken: InView, line: Line | None) -> MarkCounts:
    """Count what nobody has counted yet, R, G and B beside all that needs them later."""
    found, frame, yard, there = taken.range, taken.frame, taken.yard, taken.census
    is_known = found is not None and found.flat_top is not None
    by_channel = is_known or (line is not None and Wants.RGB in line.instrument.counts_when_due)
    if there is not None and Wants.RGB in there.has(Wants.RGB):
        return MarkCounts(_completed(there, taken, COUNTED | Wants.RGB if by_channel else COUNTED))
    channels = None
    if by_channel:
        channels = Aside("channels", lambda: take_census(frame, yard, Wants.RGB))
    few = take_census(frame, yard, COUNTED) if there is None else _completed(there, taken, COUNTED)
    return MarkCounts(few, channels)


def scene_of(taken: InView, line: Line | None, counting: MarkCounts) -> tuple[Scene, Evidence]:
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
    more = _rests_on(taken, line, scene)
    if not set(more) <= set(places):
        kept = replace(kept, codes=cut(frame, [*places, *more]))
        scene = kept.scene()
    # Named as it came; numbers are those of the text.
    scene.read_with = taken.read_with
    scene.frame = replace(scene.frame, notes=frame.notes, timecode=frame.timecode)
    return scene, kept


def _rests_on(taken: InView, line: Line | None, scene: Scene) -> Sequence[SpotPlace]:
    """The places of the frame that an answer is made of, besides those of every mark."""
    if line is None:
        return ()
    found = line.instrument.rests_on(scene, taken.settings)
    if found is None and line.from_codes is not None and taken.answer is not None:
        found = line.from_codes.places(taken.answer)
    return found or ()


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
