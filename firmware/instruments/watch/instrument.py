"""The watch as an instrument: the view and the command `watch`."""

from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from typing import Any

from firmware.actions import Press
from firmware.answers.table import Line
from firmware.errors import ArgumentError
from firmware.feeds.base import FeedInfo, Pace
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.contract import Around, Instrument
from firmware.instruments.desk import Desk
from firmware.instruments.offers import Offer, Offers
from firmware.instruments.scene import Frames, Scene
from firmware.instruments.watch import WatchOptions
from firmware.instruments.watch.answer import EventCodes, Told, WatchAnswer
from firmware.instruments.watch.course import Course, Teller
from firmware.instruments.watch.following import Following, WatchMemory
from firmware.instruments.watch.lines import watch_lines
from firmware.instruments.watch.report import SETS, watch_report
from firmware.opening.overrides import overrides_of
from firmware.profiles.camera_table import parse_stops
from firmware.profiles.model import Profile
from firmware.written.spot_place import parse_spot
from overlays.draw.layout.views import Arrangement, Over, Readings, View
from overlays.draw.moment.layers import Layer
from overlays.draw.moment.report import Report
from overlays.measure.pins.lighting import MOST_PINS
from overlays.measure.watch.change import Tolerance

LEAST_S = 0.1
"""The shortest watch that may be asked for."""


@dataclass(frozen=True, slots=True)
class WatchSettings:
    """What it is set to.

    Attributes
    ----------
    begun:
        How often a reference was set to watch from.
    tolerance:
        How far pins may move unremarked; None takes the profile's.
    """

    begun: int = 0
    tolerance: Tolerance | None = None

    def allowed(self, profile: Profile) -> Tolerance:
        """How far pins may move."""
        return self.tolerance or profile.watch


class WatchInstrument(Instrument[WatchSettings, WatchMemory, WatchAnswer]):
    """Whether the light stays as it was at its reference, and what happened to it."""

    name = "watch"
    views = (View("watch", Arrangement.TRACE, Over.STRIPES, Readings.REPORT),)

    def settings(self, profile: Profile, rate: float) -> WatchSettings:
        """With the profile's tolerance."""
        return WatchSettings()

    def pressed(
        self, settings: WatchSettings, press: Press, around: Around
    ) -> tuple[WatchSettings, Desk] | None:
        """Setting the reference begins the watch anew."""
        begun = self.pressed_elsewhere(settings, press)
        return None if begun is None else (begun, around.desk)

    def pressed_elsewhere(self, settings: WatchSettings, press: Press) -> WatchSettings | None:
        """The same from any view that has no reference of its own."""
        if press is not Press.SET_REFERENCE:
            return None
        return replace(settings, begun=settings.begun + 1)

    def offers(self, settings: WatchSettings) -> Offers:
        """To watch from now on."""
        return Offers((Offer(SETS, Press.SET_REFERENCE),))

    def memory(self) -> WatchMemory:
        """The watch with its history."""
        return WatchMemory()

    def follow(
        self, scene: Scene, settings: WatchSettings, memory: WatchMemory, *, in_view: bool
    ) -> None:
        """Begin a watch in its view, and go on with it in whatever view.

        Out of view it ends with another reference, other pins or another profile.
        """
        allowed = settings.allowed(scene.profile)
        places = tuple(pin.place for pin in scene.desk.pins)
        key = (settings.begun, places, scene.profile.name, allowed)
        if memory.following is None or memory.following.key != key:
            pins = scene.pins() if in_view else {}
            memory.following = Following(key, pins, allowed) if pins else None
        if memory.following is not None:
            memory.timing.take(scene)
            memory.following.take(scene, memory.timing)
        if not scene.is_shown:
            memory.answer = _now(scene, settings, memory)
        elif not in_view:
            memory.answer = None

    def measure(self, scene: Scene, settings: WatchSettings, memory: WatchMemory) -> WatchAnswer:
        """What the watch says now; over a held frame, what it says of the live ones."""
        if scene.frames is Frames.HELD:
            nothing = WatchAnswer(scene.origin, settings.allowed(scene.profile), scene.pin_flags())
            return memory.answer or nothing
        memory.answer = answer = _now(scene, settings, memory)
        return answer

    def events(self, memory: WatchMemory) -> tuple[Told, ...]:
        """Those of the watch that goes on."""
        return () if memory.following is None else memory.following.events

    def seen_at(self, memory: WatchMemory, event: Told) -> EventCodes | None:
        """The pins as they were when it was sure, and in the frames that it was told of."""
        seen = () if memory.following is None else memory.following.seen
        return next((kept for told, kept in seen if told is event), None)

    def anew(self, answer: WatchAnswer, scene: Scene) -> WatchAnswer:
        """With what the pins read in the scene."""
        places = [pin.place for pin in scene.desk.pins] or [scene.place]
        pins = []
        for each in answer.pins:
            if each.place not in places:  # it was moved meanwhile
                pins.append(each)
                continue
            spot = scene.read(each.place)
            pins.append(replace(each, stops=spot.stops, unknown=spot.unknown, bound=spot.bound))
        return replace(answer, pins=tuple(pins))

    def standing(self, memory: WatchMemory) -> str:
        """What the light does, while it is watched."""
        following = memory.following
        return "" if following is None else following.watch.mood.value.partition(",")[0]

    def ask(self, options: WatchOptions, opener: Opener) -> WatchAnswer:
        """Watch a feed; events are said as they are sure.

        Ctrl-C ends a watch that has no other end; what was seen is then said as at any end.
        """
        written = [parse_spot(text) for text in options.at]
        wanted = Wanted(options.feed, options.profile, overrides_of(options))
        with opener.session(wanted, _pace(options)) as session:
            _check(options, len(written) or len(session.profile.pins))
            settings = WatchSettings(tolerance=_tolerance(options, session.profile))
            memory, teller = self.memory(), Teller(_sayer(session.feed.info, opener))
            course = Course(session, opener.clock, written)
            scenes = course.scenes(options.frames, options.seconds)
            with suppress(KeyboardInterrupt), closing(scenes):
                for scene in scenes:
                    self.follow(scene, settings, memory, in_view=True)
                    teller.tell(memory)
            teller.finish(memory)
            answer = self.measure(course.end(), settings, memory)
        of_feed = (*answer.of_feed, *teller.warnings)
        return replace(answer, events=tuple(teller.told), of_feed=of_feed)

    def report(self, answer: WatchAnswer) -> Report:
        """The pin farthest off its reference, large; the newest events below."""
        return watch_report(answer)

    def figure(self, answer: WatchAnswer) -> str:
        """What the light does, or that nobody watches it."""
        return "no reference" if answer.mood is None else answer.mood.value.partition(",")[0]

    def layers(self, answer: WatchAnswer) -> tuple[Layer, ...]:
        """The pins, and the strip of the last minutes."""
        return (answer.flags,) if answer.strip is None else (answer.flags, answer.strip)

    def lines(self, answer: WatchAnswer) -> list[Line]:
        """For the terminal, at its end."""
        return watch_lines(answer)


def _sayer(info: FeedInfo, opener: Opener) -> Callable[[str], None]:
    """Prints a line; one of a simulated feed says so, since it may be read alone."""
    if not info.is_simulated:
        return opener.say
    return lambda words: opener.say(f"{words}  (simulated)")


def _now(scene: Scene, settings: WatchSettings, memory: WatchMemory) -> WatchAnswer:
    """The watch as it stands, as plain values that nobody changes afterwards."""
    following, timing = memory.following, memory.timing
    allowed, flags = settings.allowed(scene.profile), scene.pin_flags()
    if following is None:
        return WatchAnswer(scene.origin, allowed, flags)
    return WatchAnswer(
        scene.origin,
        allowed,
        flags,
        following.watch.mood,
        following.watch.worst_off_stops,
        following.states(),
        following.events,
        following.strip(),
        timing.frames,
        timing.seconds,
        timing.counted_from,
        scene.read_with.warnings,
        timing.first_ns,
        timing.last_ns,
    )


def _pace(options: WatchOptions) -> Pace:
    """The bench never ends: without an end it runs at the pace of life."""
    is_endless = options.frames is None and options.seconds is None
    is_bench = options.feed.split(":")[0] == "bench"
    return Pace.LIVE if is_endless and is_bench else Pace.STEP


def _check(options: WatchOptions, pins: int) -> None:
    seconds = options.seconds
    if seconds is not None and not seconds >= LEAST_S:  # nan too is not
        raise ArgumentError(f"--seconds {seconds:g}: write {LEAST_S:g} or more, as 60")
    if pins > MOST_PINS:
        raise ArgumentError(f"{pins} pins; at most {MOST_PINS} can be told apart")


def _tolerance(options: WatchOptions, profile: Profile) -> Tolerance:
    level, balance = options.tolerance, options.balance
    return Tolerance(
        profile.watch.level_stops if level is None else parse_stops(level),
        profile.watch.balance_stops if balance is None else parse_stops(balance),
    )


INSTRUMENT: Instrument[Any, Any, Any] = WatchInstrument()
