"""Match as an instrument: the view and the command `match`."""

from dataclasses import replace
from typing import Any

from firmware.actions import Press
from firmware.answers.table import Line
from firmware.errors import ArgumentError
from firmware.instruments.asking import Opener, Unplaced, Wanted
from firmware.instruments.contract import Around, File, Instrument
from firmware.instruments.desk import Desk
from firmware.instruments.heard import Heard
from firmware.instruments.match import MatchOptions
from firmware.instruments.match.answer import (
    Compared,
    MatchAnswer,
    Taken,
)
from firmware.instruments.match.camera_a import MatchMemory, MatchSettings, camera_a, take
from firmware.instruments.match.cdl_file import (
    CC,
    REST,
    WHOLE,
    WHOLE_CC,
    ending_of,
    remainder_text,
)
from firmware.instruments.match.lines import match_lines
from firmware.instruments.match.report import FROM_UNIT, TAKES_A, match_report
from firmware.instruments.offers import Offer, Offers
from firmware.instruments.scene import Scene
from firmware.opening.gamut_choice import choose_dial
from firmware.opening.overrides import Overrides
from firmware.profiles.balance_table import parse_kelvin
from firmware.profiles.model import Profile
from firmware.system.files import save, unsaved
from firmware.written.arguments import output_file
from overlays.draw.layout.views import Arrangement, Over, Readings, View
from overlays.draw.moment.layers import ChromaShown, Layer
from overlays.draw.moment.report import Report
from overlays.measure.balance.balance import BalanceSettings
from overlays.measure.counting.census import Wants
from overlays.measure.match.match import compare, pair_of
from overlays.measure.spot.spot import SpotPlace


class MatchInstrument(Instrument[MatchSettings, MatchMemory, MatchAnswer]):
    """What separates camera B from camera A on shared pins, and what brings B to A."""

    name = "match"
    views = (View("match", Arrangement.TRACE_AND_CORNER, Over.STRIPES, Readings.REPORT),)
    counts = Wants.CHROMA

    def settings(self, profile: Profile, rate: float) -> MatchSettings:
        """No camera A yet."""
        return MatchSettings()

    def pressed(
        self, settings: MatchSettings, press: Press, around: Around
    ) -> tuple[MatchSettings, Desk] | None:
        """The reference that is set is the picture, as camera A; tab is the gain."""
        desk = around.desk
        if press is Press.SET_REFERENCE:
            return replace(settings, taken=settings.taken + 1), desk
        if press is Press.NEXT_STRIPE:
            return settings, desk.with_next_gain()
        asked = self.pressed_elsewhere(settings, press)
        return None if asked is None else (asked, desk)

    def pressed_elsewhere(self, settings: MatchSettings, press: Press) -> MatchSettings | None:
        """Which unit is camera A is chosen in any view."""
        if press is not Press.NEXT_UNIT:
            return None
        return replace(settings, asked=settings.asked + 1)

    def offers(self, settings: MatchSettings) -> Offers:
        """Camera A, and the gain."""
        own = (Offer(TAKES_A, Press.SET_REFERENCE), Offer(FROM_UNIT, Press.NEXT_UNIT))
        return Offers(own, chosen="gain")

    def memory(self) -> MatchMemory:
        """Camera A."""
        return MatchMemory()

    def hear(self, memory: MatchMemory, heard: Heard) -> None:
        """Camera A may be one of them."""
        memory.heard = heard

    def measure(self, scene: Scene, settings: MatchSettings, memory: MatchMemory) -> MatchAnswer:
        """Camera B against camera A, which may have to be taken from the same frame first."""
        desk, profile = scene.desk, scene.profile
        dial = settings.dial or desk.dial(profile.dial)
        judged = BalanceSettings(scene.gamut, dial, profile.tolerance)
        taken, why_not = camera_a(scene, settings, memory)
        return MatchAnswer(
            origin=scene.origin,
            judged=judged,
            compared=None if taken is None else _compared(taken, scene, judged),
            has_chroma=scene.census.chroma is not None,
            flags=scene.pin_flags(),
            gain=desk.gain,
            unit=memory.unit,
            why_not=why_not,
        )

    def rests_on(self, scene: Scene, settings: MatchSettings) -> tuple[SpotPlace, ...]:
        """The pins, and those of camera A before."""
        return tuple(pin.place for pin in scene.desk.pins) or (scene.place,)

    def before(self, answer: MatchAnswer) -> Scene | None:
        """Camera A's."""
        return None if answer.compared is None else answer.compared.a.scene

    def recalled(self, settings: MatchSettings, scene: Scene) -> MatchMemory:
        """Camera A as it was taken."""
        return MatchMemory(take(scene, settings.taken))

    def ask(self, options: MatchOptions, opener: Opener) -> MatchAnswer:
        """Take camera A from one feed, and measure a frame of the other against it."""
        _check(options)
        memory, settings = self.memory(), MatchSettings(taken=1)
        with opener.scene(_camera_a(options)) as scene:
            self.measure(scene, settings, memory)
            of_a = _count(scene)
        with opener.scene(_camera_b(options)) as scene:
            if (of_b := _count(scene)) != of_a:
                raise ArgumentError(
                    f"camera A has {of_a} pins and camera B {of_b}; give as many --at-b as --at"
                )
            dial = choose_dial(options.dial_b, None, scene.profile)
            answer = self.measure(scene, replace(settings, dial=dial), memory)
        return replace(answer, cdl=options.cdl, cdl_whole=options.cdl_whole)

    def report(self, answer: MatchAnswer) -> Report:
        """Exposure to add on B, large; what to do; the pins below."""
        return match_report(answer)

    def figure(self, answer: MatchAnswer) -> str:
        """Exposure to add on B, or that there is no A."""
        return "no camera A" if answer.compared is None else self.report(answer).main

    def layers(self, answer: MatchAnswer) -> tuple[Layer, ...]:
        """The pins, the chroma trace, and camera A's trace and chroma behind them."""
        shown: tuple[Layer, ...] = (answer.flags, ChromaShown(answer.judged, answer.gain))
        ghost = None if answer.compared is None else answer.compared.a.ghost
        return shown if ghost is None else (*shown, ghost)

    def has_object(self, answer: MatchAnswer) -> bool:
        """Once camera A is taken."""
        return answer.compared is not None

    def lines(self, answer: MatchAnswer) -> list[Line]:
        """For the terminal."""
        assert answer.compared is not None  # `ask` takes camera A first
        return match_lines(answer, answer.compared)

    def keep(self, answer: MatchAnswer, options: MatchOptions) -> None:
        """Write what was asked for, where there is something to write."""
        asked = ((options.cdl, answer.rest, REST), (options.cdl_whole, answer.whole, WHOLE))
        for path, found, of in asked:
            if path is None or found is None:
                continue
            curve = answer.origin.profile.curve
            text = remainder_text(found, curve, path.stem, ending_of(path), of)
            try:
                save(path, text.encode())
            except OSError as fault:
                raise ArgumentError(unsaved(path, "correction", fault)) from fault

    def files(self, answer: MatchAnswer, stem: str) -> tuple[File, ...]:
        """What remains, as a correction called as the picture, and the whole difference."""
        curve = answer.origin.profile.curve
        return tuple(
            File(ending, remainder_text(found, curve, stem, CC, of).encode())
            for ending, found, of in ((CC, answer.rest, REST), (WHOLE_CC, answer.whole, WHOLE))
            if found is not None
        )


def _compared(taken: Taken, scene: Scene, judged: BalanceSettings) -> Compared:
    """The pins that both cameras have, B against A."""
    a, b = taken.spots, scene.pins()
    numbers = tuple(number for number in b if number in a)
    pairs = [pair_of(a[number], b[number]) for number in numbers]
    return Compared(taken, numbers, compare(pairs, judged.gamut, judged.dial))


def _check(options: MatchOptions) -> None:
    """What is wrong whatever the feeds give is wrong before a frame is waited for."""
    for path in (options.cdl, options.cdl_whole):
        if path is not None:
            output_file(path, ending_of(path))
    if options.dial_b is not None:
        parse_kelvin(options.dial_b)


def _camera_a(options: MatchOptions) -> Wanted:
    return Wanted(
        options.feed_a,
        options.profile,
        Overrides(options.curve),
        options.frame,
        options.at,
        Unplaced.PINS,
    )


def _camera_b(options: MatchOptions) -> Wanted:
    """As camera A is read, where nothing else is said of it."""
    return Wanted(
        options.feed_b,
        options.profile_b or options.profile,
        Overrides(options.curve_b),
        options.frame,
        options.at_b or options.at,
        Unplaced.PINS,
        options.gamut,
    )


def _count(scene: Scene) -> int:
    """How many pins there are; the spot stands for one."""
    return max(len(scene.desk.pins), 1)


INSTRUMENT: Instrument[Any, Any, Any] = MatchInstrument()
