"""A watch that goes on: frames become readings of pins, readings events with their time."""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from firmware.instruments.kept_places import KeptPlaces
from firmware.instruments.scene import Frames, Scene
from firmware.instruments.watch.answer import EventCodes, PinState, Told, WatchAnswer
from firmware.instruments.watch.frames_kept import FramesKept
from firmware.instruments.watch.timing import Timing
from overlays.draw.moment.layers import Lane, Strip
from overlays.measure.spot.spot import SpotReading
from overlays.measure.watch.change import Tolerance
from overlays.measure.watch.cut import CutFinder, glimpse_of
from overlays.measure.watch.events import TakeEvent
from overlays.measure.watch.history import History
from overlays.measure.watch.watch import Watch, condition_of, values_of

STRIP_S = 180.0
"""Length of the strip."""
KEPT_EVENTS = 64
KEPT_CODES = 8
"""Events whose pins' codes wait to be journalled, the newest: the next picture sees to that."""


class Following:
    """One watch, from its reference on. Belongs to the thread that follows the frames.

    Parameters
    ----------
    key:
        What it is a watch of; with another, another one begins.
    pins:
        Their numbers.
    tolerance:
        How far they may move.

    Attributes
    ----------
    events:
        The newest, oldest first.
    fresh:
        Those that the last frame made sure.
    seen:
        The newest, each with its codes.
    """

    def __init__(self, key: Hashable, pins: Iterable[int], tolerance: Tolerance) -> None:
        self.key = key
        self.watch = Watch(pins, tolerance)
        self.events: tuple[Told, ...] = ()
        self.fresh: tuple[Told, ...] = ()
        self._cuts = CutFinder()
        self._history: History | None = None
        self._spots: dict[int, SpotReading] = {}
        self.seen: tuple[tuple[Told, EventCodes], ...] = ()
        self._frames = FramesKept()

    def take(self, scene: Scene, timing: Timing) -> None:
        """Go on with a frame."""
        time_ns, spots = scene.frame.time_ns, scene.pins()
        self._spots = {pin: spots[pin] for pin in self.watch.pins if pin in spots}
        readings = {pin: values_of(spot) for pin, spot in self._spots.items()}
        conditions = {pin: condition_of(spot) for pin, spot in self._spots.items()}
        cut = self._cuts.add(time_ns, glimpse_of(scene.frame, scene.yard))
        is_live = scene.frames is Frames.LIVE  # a command has no journal beside it, nor a strip
        if is_live:
            self._frames.take(scene.frame, self._spots, self.watch)
        self._tell(self.watch.add(time_ns, readings, conditions, cut), timing)
        if is_live:
            self._see(scene)
            self._history = self._history or History(len(self.watch.pins), STRIP_S)
            self._history.add(time_ns, offsets(self.watch))

    def _see(self, scene: Scene) -> None:
        """Keep the codes of what the last frame made sure."""
        if not self.fresh:
            return
        pins = [spot.place for spot in self._spots.values()]
        kept = KeptPlaces.of(scene, [scene.place, *pins])
        fresh = [(each, EventCodes(kept, self._frames.of_event(each.event))) for each in self.fresh]
        self.seen = (*self.seen, *fresh)[-KEPT_CODES:]

    def finish(self, timing: Timing) -> None:
        """There are no more frames: what was still held back is an event now."""
        self._tell(self.watch.finish(), timing)

    def _tell(self, events: Sequence[TakeEvent], timing: Timing) -> None:
        self.fresh = tuple(
            Told(
                each,
                timing.moment(each.start_ns),
                timing.moment(each.end_ns),
                timing.shown(each.start_ns),
                timing.now(),
                timing.first_ns,
                self.watch.tolerance,
            )
            for each in events
        )
        self.events = (*self.events, *self.fresh)[-KEPT_EVENTS:]

    def states(self) -> tuple[PinState, ...]:
        """The pins that the last frame has, as they are now."""
        out = []
        for pin, spot in self._spots.items():
            follower = self.watch.follower(pin)
            out.append(
                PinState(
                    pin,
                    spot.place,
                    follower.reference,
                    self.watch.off_stops(pin),
                    self.watch.mood_of(pin),
                    None if follower.reference is None else follower.surest_s,
                    spot.warnings,
                    spot.stops,
                    spot.unknown,
                    spot.bound,
                    follower.means,
                    self._frames.of(pin, follower.means),
                )
            )
        return tuple(out)

    def strip(self) -> Strip | None:
        """The last minutes; None of frames that are on no screen."""
        if self._history is None:
            return None
        lanes = []
        for place, pin in enumerate(self.watch.pins):
            events = tuple(
                (told.event.start_ns, told.event.change)
                for told in self.events
                if not told.event.pins or any(each.pin == pin for each in told.event.pins)
            )
            lanes.append(Lane(str(pin), self._history.stretch(place), events))
        return Strip(tuple(lanes), self.watch.tolerance.level_stops, STRIP_S)


@dataclass(slots=True, eq=False)
class WatchMemory:
    """What a watch keeps.

    Attributes
    ----------
    following, timing:
        The watch that goes on, None where there is none, and the times of its frames: of the thread
        that follows live frames alone.
    answer:
        What it says now, for a held frame to show; replaced as a whole. None where nobody looks.
    """

    following: Following | None = None
    timing: Timing = field(default_factory=Timing)
    answer: WatchAnswer | None = None


def offsets(watch: Watch) -> npt.NDArray[np.float64]:
    """(pins, 3) of every pin from its reference, nan where that is not known."""
    out = np.full((len(watch.pins), 3), np.nan)
    for place, pin in enumerate(watch.pins):
        off = watch.off_stops(pin)
        if off is not None:
            out[place] = off
    return out
