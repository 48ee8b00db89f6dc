"""What the views of exposure say: advice, three chips, pins, match and watch, frame by frame.

Belongs to the measuring thread. It keeps what must be remembered from frame to frame: the picture
that camera B is brought to, and the watch with its history.
"""

from collections import deque
from dataclasses import replace

from firmware.clock import Clock, local_time
from firmware.colour_reports import ColourReporter, settings_of
from firmware.evenness import EvennessReporter
from firmware.profiles.model import Profile
from firmware.remembered import Remembered, Taken, is_shown
from firmware.reported import Asked, Scene, Wishes
from firmware.reports import (
    advice_report,
    chips_report,
    match_pins,
    match_report,
    pins_report,
    watch_report,
)
from firmware.watching import offsets
from overlays.draw.layout.views import OF_COLOUR, WITH_REPORT, View
from overlays.draw.moment.more import ChromaShown, Ghost, Lane, More, PinShown, Strip
from overlays.draw.moment.shown import Face
from overlays.errors import OverlayError
from overlays.measure.spot.spot import SpotReading, read_spot
from overlays.measure.watch.history import History
from overlays.measure.watch.watch import TakeEvent, Watch, values_of

STRIP_S = 180.0
"""Length of the watch's strip."""

KEPT_EVENTS = 64
KEPT_CODES = 2048
"""Time codes of frames followed, ten a second: a little more than the strip."""
NO_CHROMA = "camera A came as R'G'B' and leaves no chroma ghost"


class Reporter:
    """Makes the reports of frame after frame.

    Parameters
    ----------
    clock:
        For the time of day of events on a feed that has no time code.
    kept:
        What is shared with whoever reports the other frames.
    of:
        Whether these are the live frames or a held one. The watch is of the live ones alone.
    """

    def __init__(self, clock: Clock, kept: Remembered | None = None, of: Face = Face.LIVE) -> None:
        self._clock, self._of = clock, of
        self._kept = kept or Remembered()
        self._colour = ColourReporter(clock, self._kept, of)
        self._evenness = EvennessReporter(clock)
        self._watch: Watch | None = None
        self._watched: tuple[object, ...] = ()
        self._history = History(1, STRIP_S)
        self._events: list[tuple[TakeEvent, str]] = []
        self._codes: deque[tuple[int, str]] = deque(maxlen=KEPT_CODES)

    def follow(self, scene: Scene, wishes: Wishes) -> None:
        """Go on with the watch, in whatever view; nothing is read where there is none."""
        if self._of is Face.HELD:
            return
        if self._watch is not None or wishes.view is View.WATCH:
            self._follow(scene, wishes, self._read(scene, wishes))

    def more(self, scene: Scene, wishes: Wishes) -> More | None:  # noqa: PLR0911 - one a view
        """What to show besides; None in a view that shows nothing of it."""
        if self._of is Face.LIVE:
            looked_at = wishes.held or wishes.view is View.WATCH
            self._kept.watch = self._watching(wishes) if looked_at else None
        if wishes.view not in WITH_REPORT:
            return None
        if wishes.view in OF_COLOUR:
            of_colour = self._colour
            is_chart = wishes.view is View.CHART
            return (of_colour.chart if is_chart else of_colour.balance)(scene, wishes)
        if wishes.view is View.PINS and wishes.asked is Asked.EVENNESS:
            return self._evenness.more(scene, wishes)
        spots = {} if wishes.view is View.ADVICE else self._read(scene, wishes)
        pins = _pins_of(wishes)
        if wishes.view is View.ADVICE:
            return More(advice_report(scene, wishes))
        if wishes.view is View.CHIPS:
            return More(chips_report(scene, wishes, spots), pins)
        if wishes.view is View.PINS:
            return More(pins_report(scene, wishes, spots), pins)
        if wishes.view is View.MATCH:
            return self._match(scene, wishes, spots, pins)
        return self._kept.watch

    def _read(self, scene: Scene, wishes: Wishes) -> dict[int, SpotReading]:
        """Pins by number; where there is none, the spot stands for pin 1."""
        places = [pin.place for pin in wishes.pins] or [scene.place]
        out = {}
        for number, place in enumerate(places, start=1):
            try:
                out[number] = read_spot(scene.frame, scene.yard, place)
            except OverlayError:
                continue  # it lies outside of this picture
        return out

    def _match(
        self,
        scene: Scene,
        wishes: Wishes,
        spots: dict[int, SpotReading],
        pins: tuple[PinShown, ...],
    ) -> More:
        kept = self._kept.taken
        new = wishes.taken and (kept is None or kept.number != wishes.taken)
        if new and is_shown(wishes, self._of):
            ghost = Ghost.of(scene.census, scene.frame.signal)
            kept = self._kept.taken = Taken(wishes.taken, spots, ghost)
        chroma = ChromaShown(settings_of(wishes), wishes.colour.gain)
        if kept is None:
            return More(match_report((), None), pins, chroma=chroma)
        numbers, found = match_pins(kept.spots, spots, wishes)
        report = match_report(numbers, found)
        if kept.ghost.chroma is None and scene.census.chroma is not None:
            report = replace(report, notes=(*report.notes, NO_CHROMA))
        return More(report, pins, kept.ghost, chroma=chroma, match=found)

    # The watch

    def _follow(self, scene: Scene, wishes: Wishes, spots: dict[int, SpotReading]) -> None:
        """Begin a watch where one is wanted, and go on with it in whatever view."""
        key = (wishes.marked, tuple(pin.place for pin in wishes.pins), wishes.profile.name)
        if self._watch is None or key != self._watched:
            if self._watch is not None and wishes.view is not View.WATCH:
                self._watch = None
                return
            self._watch, self._watched = Watch(spots, wishes.profile.watch), key
            self._history = History(len(spots), STRIP_S)
            self._events = []
        readings = {n: values_of(spots[n]) for n in self._watch.pins if n in spots}
        self._codes.append((scene.frame.time_ns, scene.frame.timecode))
        for event in self._watch.add(scene.frame.time_ns, readings):
            self._events.append((event, self._when(event.start_ns)))
        del self._events[:-KEPT_EVENTS]
        self._history.add(scene.frame.time_ns, offsets(self._watch))

    def _watching(self, wishes: Wishes) -> More:
        report = watch_report(self._watch, self._events)
        return More(report, _pins_of(wishes), strip=self._strip(wishes.profile))

    def _when(self, time_ns: int) -> str:
        """The time code of the frame of that time, else the time of day."""
        code = next((text for at_ns, text in reversed(self._codes) if at_ns <= time_ns), "")
        return code or self._time_of_day(time_ns)

    def _time_of_day(self, time_ns: int) -> str:
        ago_s = (self._clock.now_ns() - time_ns) / 1e9
        return local_time(self._clock.wall_s() - ago_s)

    def _strip(self, profile: Profile) -> Strip | None:
        if self._watch is None:
            return None
        lanes = []
        for place, pin in enumerate(self._watch.pins):
            events = tuple(
                (event.start_ns, event.change)
                for event, _ in self._events
                if any(each.pin == pin for each in event.pins)
            )
            lanes.append(Lane(str(pin), self._history.stretch(place), events))
        return Strip(tuple(lanes), profile.watch.level_stops, STRIP_S)


def _pins_of(wishes: Wishes) -> tuple[PinShown, ...]:
    return tuple(
        PinShown(pin.place, f"{number} {pin.name}".strip())
        for number, pin in enumerate(wishes.pins, start=1)
    )
