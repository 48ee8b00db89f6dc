"""The feed check as an instrument: the view for the buttons and the command `feedcheck`."""

from dataclasses import dataclass, field, replace
from typing import Any

from firmware.actions import Press
from firmware.answers.table import Line
from firmware.errors import ArgumentError, FirmwareError
from firmware.instruments.asking import Opener
from firmware.instruments.contract import Around, Instrument
from firmware.instruments.desk import Desk
from firmware.instruments.feedcheck import FeedcheckOptions
from firmware.instruments.feedcheck.answer import FeedcheckAnswer
from firmware.instruments.feedcheck.asked import (
    BEFORE,
    PATCH_FIRST,
    check_depth,
    feeds_of,
    reading_of,
    scene_when_ready,
)
from firmware.instruments.feedcheck.judging import NEEDED, Judging, judged
from firmware.instruments.feedcheck.keeping import keep_device, keep_profile
from firmware.instruments.feedcheck.lines import feedcheck_lines
from firmware.instruments.feedcheck.report import ANEW, TAKES, feedcheck_report, next_of
from firmware.instruments.feedcheck.seen import SeenCodes
from firmware.instruments.offers import Offer, Offers
from firmware.instruments.scene import Frames, Scene
from firmware.profiles.camera_table import parse_stops
from firmware.profiles.model import Profile
from firmware.written.arguments import output_file
from overlays.draw.layout.views import Arrangement, Over, View
from overlays.draw.moment.layers import Layer
from overlays.draw.moment.report import Report
from overlays.measure.counting.census import Wants
from overlays.measure.feedcheck.patch import SaturatedPatch
from overlays.measure.feedcheck.readings import Readings
from overlays.measure.feedcheck.tolerances import Tolerances


@dataclass(frozen=True, slots=True)
class FeedcheckSettings:
    """How often a reading was taken, and how often it was begun anew."""

    taken: int = 0
    begun: int = 0


@dataclass(slots=True, eq=False)
class FeedcheckMemory:
    """What was read so far.

    Attributes
    ----------
    readings:
        By what they are of.
    heard:
        The presses that were followed.
    kept:
        What was written, or why not; empty where nothing was asked for.
    seen:
        Codes of all frames that were read.
    """

    readings: Readings = field(default_factory=dict)
    heard: FeedcheckSettings = field(default_factory=FeedcheckSettings)
    kept: str = ""
    seen: SeenCodes = field(default_factory=SeenCodes)


class FeedcheckInstrument(Instrument[FeedcheckSettings, FeedcheckMemory, FeedcheckAnswer]):
    """Whether the feed is what it is read as."""

    name = "feedcheck"
    views = (View("feedcheck", Arrangement.TRACE, Over.NOTHING),)
    counts = Wants.LEVELS

    def settings(self, profile: Profile, rate: float) -> FeedcheckSettings:
        """Nothing read yet."""
        return FeedcheckSettings()

    def pressed(
        self, settings: FeedcheckSettings, press: Press, around: Around
    ) -> tuple[FeedcheckSettings, Desk] | None:
        """Hold (or setting the reference) takes the reading that is next, stripes begins anew."""
        if press in {Press.HOLD, Press.SET_REFERENCE}:
            return replace(settings, taken=settings.taken + 1), around.desk
        if press is Press.STRIPES:
            return replace(settings, begun=settings.begun + 1), around.desk
        return None

    def offers(self, settings: FeedcheckSettings) -> Offers:
        """The reading that is next, or all of them anew."""
        own = (Offer(TAKES, Press.HOLD), Offer(ANEW, Press.STRIPES))
        return Offers(own, turned="", chosen="")

    def memory(self) -> FeedcheckMemory:
        """No readings yet."""
        return FeedcheckMemory()

    def measure(
        self, scene: Scene, settings: FeedcheckSettings, memory: FeedcheckMemory
    ) -> FeedcheckAnswer:
        """What was read so far says; a press takes the next reading from this very frame."""
        if settings.begun != memory.heard.begun:
            memory.readings, memory.kept, memory.seen = {}, "", SeenCodes()
        answer = judged(memory.readings, scene.origin, scene.pin_flags())
        if settings.taken != memory.heard.taken and scene.frames is not Frames.HELD:
            answer = self._taken(scene, answer, memory)
        memory.heard = settings
        return replace(answer, kept=memory.kept, suspected=memory.seen.comb)

    def _taken(
        self, scene: Scene, answer: FeedcheckAnswer, memory: FeedcheckMemory
    ) -> FeedcheckAnswer:
        """The next reading, or where all is certain what is known of the device is kept."""
        what = next_of(answer)
        if what is not None and scene.spot is not None:
            memory.readings = {**memory.readings, what: reading_of(what, scene)}
            memory.seen.see(scene)
            answer = judged(memory.readings, scene.origin, scene.pin_flags())
            if answer.fault:
                memory.readings = {w: r for w, r in memory.readings.items() if w is not what}
                memory.kept = answer.fault
                return judged(memory.readings, scene.origin, scene.pin_flags())
            memory.kept = ""
        elif answer.check is not None and answer.check.is_certain:
            try:
                memory.kept = keep_device(answer, scene.wall_s)
            except FirmwareError as fault:
                memory.kept = str(fault)
        return answer

    def ask(self, options: FeedcheckOptions, opener: Opener) -> FeedcheckAnswer:
        """Read every feed that was named, one after the other."""
        tolerances = _checked(options)
        readings: Readings = {}
        asked, origin, bits, seen = Judging(tolerances), None, None, SeenCodes()
        for what, text in feeds_of(options).items():
            with scene_when_ready(text, BEFORE[what], options, opener) as scene:
                bits = bits or scene.frame.signal.bits
                check_depth(bits, what, scene)
                readings[what] = reading_of(what, scene)
                seen.see(scene)
                if what in NEEDED:
                    origin = scene.origin
        if options.patch is not None:
            with scene_when_ready(options.patch, PATCH_FIRST, options, opener) as scene:
                assert scene.spot is not None  # a scene of a command has one
                patch = SaturatedPatch(scene.spot.code, options.patch_is)
                asked = replace(asked, patch=patch)
        assert origin is not None  # cap, card and clip are always named
        answer = judged(readings, origin, scene.pin_flags(), asked)
        if answer.fault:
            raise ArgumentError(answer.fault)
        kept = []
        if options.keep:
            kept.append(keep_device(answer, opener.clock.wall_s()))
        if options.profile_out is not None:
            kept.append(keep_profile(answer, options.profile_out, opener.clock.wall_s()))
        return replace(answer, kept="; ".join(kept), suspected=seen.comb)

    def report(self, answer: FeedcheckAnswer) -> Report:
        """What to point at next, or the verdict; what was read below."""
        return feedcheck_report(answer)

    def figure(self, answer: FeedcheckAnswer) -> str:
        """What is to be read next, or the verdict."""
        report = self.report(answer)
        return f"{report.main} {report.beside}".strip()

    def layers(self, answer: FeedcheckAnswer) -> tuple[Layer, ...]:
        """The pins."""
        return (answer.flags,)

    def has_object(self, answer: FeedcheckAnswer) -> bool:
        """Once there is something to judge."""
        return answer.check is not None

    def lines(self, answer: FeedcheckAnswer) -> list[Line]:
        """For the terminal."""
        return feedcheck_lines(answer)


def _checked(options: FeedcheckOptions) -> Tolerances:
    """What is wrong whatever the feeds give is wrong before a frame is waited for."""
    if options.profile_out is not None:
        output_file(options.profile_out, ".toml")
    if options.patch is not None:
        SaturatedPatch((0.0, 0.0, 0.0), options.patch_is)
    if options.card_within is None:
        return Tolerances()
    return Tolerances(parse_stops(options.card_within))


INSTRUMENT: Instrument[Any, Any, Any] = FeedcheckInstrument()
