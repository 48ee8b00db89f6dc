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
from firmware.instruments.feedcheck.codes_kept import CodesKept
from firmware.instruments.feedcheck.codes_seen import SeenCodes
from firmware.instruments.feedcheck.feeds_read import (
    BEFORE,
    chart_patches,
    check_depth,
    feeds_of,
    parse_share,
    patches_of,
    read_patches,
    reading_of,
    scene_when_ready,
)
from firmware.instruments.feedcheck.judged_readings import NEEDED, Judging, judged
from firmware.instruments.feedcheck.keeping import keep_device, keep_profile
from firmware.instruments.feedcheck.lines import feedcheck_lines
from firmware.instruments.feedcheck.report import (
    ANEW,
    COLOURS,
    TAKES,
    feedcheck_report,
    next_of,
    no_patch_words,
    patch_wanted,
)
from firmware.instruments.offers import Offer, Offers
from firmware.instruments.scene import Frames, Scene
from firmware.profiles.camera_table import parse_stops
from firmware.profiles.model import Profile
from firmware.written.arguments import output_file
from overlays.draw.layout.views import Arrangement, Over, View
from overlays.draw.moment.layers import Layer
from overlays.draw.moment.report import Report
from overlays.errors import OverlayError
from overlays.measure.counting.census import Wants
from overlays.measure.feedcheck.patch import SaturatedPatch, patch_of
from overlays.measure.feedcheck.readings import Readings
from overlays.measure.feedcheck.tolerances import Tolerances


@dataclass(frozen=True, slots=True)
class FeedcheckSettings:
    """How often a reading and a patch were taken, and how often it was begun anew."""

    taken: int = 0
    begun: int = 0
    patches: int = 0


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
    patches:
        Saturated patches that were read.
    codes:
        Of all that was read.
    """

    readings: Readings = field(default_factory=dict)
    heard: FeedcheckSettings = field(default_factory=FeedcheckSettings)
    kept: str = ""
    seen: SeenCodes = field(default_factory=SeenCodes)
    patches: tuple[SaturatedPatch, ...] = ()
    codes: CodesKept = field(default_factory=CodesKept)


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
        """Hold (or setting the reference) takes the reading that is next, stripes begins anew.

        What chooses a stripe elsewhere takes the patch that is next.
        """
        if press in {Press.HOLD, Press.SET_REFERENCE}:
            return replace(settings, taken=settings.taken + 1), around.desk
        if press is Press.STRIPES:
            return replace(settings, begun=settings.begun + 1), around.desk
        if press is Press.NEXT_STRIPE:
            return replace(settings, patches=settings.patches + 1), around.desk
        return None

    def offers(self, settings: FeedcheckSettings) -> Offers:
        """The reading that is next, a chart or a patch, or all of them anew."""
        own = (
            Offer(TAKES, Press.HOLD),
            Offer(ANEW, Press.STRIPES),
            Offer(COLOURS, Press.NEXT_STRIPE),
        )
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
            memory.patches, memory.codes = (), CodesKept()
        answer = _judged(memory, scene)
        if scene.frames is not Frames.HELD:
            if settings.taken != memory.heard.taken:
                answer = self._taken(scene, answer, memory)
            if settings.patches != memory.heard.patches:
                answer = self._patched(scene, answer, memory)
        memory.heard = settings
        seen = memory.seen.comb
        return replace(answer, kept=memory.kept, suspected=seen, codes=memory.codes)

    def _taken(
        self, scene: Scene, answer: FeedcheckAnswer, memory: FeedcheckMemory
    ) -> FeedcheckAnswer:
        """The next reading, or where all is certain what is known of the device is kept."""
        what = next_of(answer)
        if what is not None and scene.spot is not None:
            memory.readings = {**memory.readings, what: reading_of(what, scene)}
            memory.codes = memory.codes.read(what, scene)
            memory.seen.see(scene)
            answer = _judged(memory, scene)
            if answer.fault:
                memory.codes = memory.codes.without(what)
                memory.readings = {w: r for w, r in memory.readings.items() if w is not what}
                memory.kept = answer.fault
                return _judged(memory, scene)
            memory.kept = ""
        elif answer.check is not None and answer.check.is_certain:
            try:
                memory.kept = keep_device(answer, scene.wall_s)
            except FirmwareError as fault:
                memory.kept = str(fault)
        return answer

    def _patched(
        self, scene: Scene, answer: FeedcheckAnswer, memory: FeedcheckMemory
    ) -> FeedcheckAnswer:
        """Those of a chart in the picture, else the one that is asked for; or why none is taken."""
        wanted = patch_wanted(answer)
        if wanted is None or scene.spot is None:
            memory.kept = no_patch_words(answer)
            return answer
        try:
            found = chart_patches(scene)
        except OverlayError:
            found = []
        if not found and scene.spot.hides_light:
            memory.kept = f"the {wanted} patch is clipped or cut off: light it as the card"
            return answer
        found = found or [(patch_of(scene.spot, wanted), scene.place)]
        memory.patches = (*memory.patches, *(patch for patch, _ in found))
        memory.codes, memory.kept = memory.codes.patched(found, scene), ""
        return _judged(memory, scene)

    def ask(self, options: FeedcheckOptions, opener: Opener) -> FeedcheckAnswer:
        """Read every feed that was named, one after the other."""
        tolerances = _checked(options)
        readings: Readings = {}
        asked, origin, bits, seen = Judging(tolerances), None, None, SeenCodes()
        for what, text in feeds_of(options).items():
            with scene_when_ready(text, BEFORE[what], options, opener) as scene:
                bits = bits or scene.frame.signal.bits
                check_depth(bits, what.value, scene)
                readings[what] = reading_of(what, scene)
                seen.see(scene)
                if what in NEEDED:
                    origin = scene.origin
        assert origin is not None  # cap, card and clip are always named
        assert bits is not None
        asked = replace(asked, patches=read_patches(options, opener, bits))
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


def _judged(memory: FeedcheckMemory, scene: Scene) -> FeedcheckAnswer:
    """What was read so far says."""
    asked = Judging(patches=memory.patches)
    return judged(memory.readings, scene.origin, scene.pin_flags(), asked)


def _checked(options: FeedcheckOptions) -> Tolerances:
    """What is wrong whatever the feeds give is wrong before a frame is waited for."""
    if options.profile_out is not None:
        output_file(options.profile_out, ".toml")
    patches_of(options)
    found = Tolerances()
    if options.card_within is not None:
        found = replace(found, card_stops=parse_stops(options.card_within))
    if options.colours_within is not None:
        found = replace(found, colour_share=parse_share(options.colours_within))
    return found


INSTRUMENT: Instrument[Any, Any, Any] = FeedcheckInstrument()
