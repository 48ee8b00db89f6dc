"""Measures frame after frame with what the state asks for; keeps what can be kept between them."""

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from firmware.clock import Clock
from firmware.health.stats import Stats
from firmware.instruments.contract import Instrument
from firmware.instruments.desk import Desk, inside
from firmware.instruments.registry import Registry
from firmware.instruments.scene import Frames, Scene
from firmware.live.answer_shown import AnswerShown
from firmware.live.by_profile import Settings
from firmware.live.figures import Figures, wants_of
from firmware.live.kept_ceilings import Ceilings
from firmware.live.last_spots import LastSpots
from firmware.live.searching import Searches
from firmware.live.state import State
from firmware.live.stripes_shown import stripe_shown
from firmware.opening.read_with import ReadWith
from firmware.rail.pages import Leaf
from overlays.draw.layout.views import Readings, TraceKind, View
from overlays.draw.moment.shown import Measured, StripeShown
from overlays.errors import OverlayError
from overlays.measure.counting.bands import Band
from overlays.measure.counting.census import Census, take_census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.range import RangeReading, read_range
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.sharing.crew import ALONE, Crew
from overlays.signal.frame import Frame
from overlays.signal.signal import Signal

SPOT_EVERY_NS = 100_000_000
"""The spot is read ten times a second: faster, no eye could. The census counts every frame."""

PAUSE_NS = 10 * SPOT_EVERY_NS
"""From one reading of the spot to the next, after which those before it say nothing of it."""

RANGE_EVERY_NS = 250_000_000
"""Extremes and shares, which take longer to find, four times a second."""

LOOK_EVERY_NS = 1_000_000_000
"""Where the camera clips is looked for once a second, which takes longer still; it hardly moves."""
RANGE_REST, LOOK_REST = 4, 10
"""On a slow board less often: each rests for so many times as long as it took."""

SPARE_CENSUSES = 4

Memories = Mapping[str, Any]
"""What each instrument keeps from frame to frame, by its name."""


@dataclass(frozen=True, slots=True)
class Orders:
    """What is to be measured, as the drawing thread last said."""

    read_with: ReadWith
    stripes: tuple[Band, ...]
    place: SpotPlace
    trace: TraceKind
    view: View
    desk: Desk
    settings: Settings
    held: bool = False
    index: bool = False


def has_trace(view: View) -> bool:
    """Whether a view has a trace whose kind can be chosen."""
    return view.readings is Readings.BOTH


def orders_of(state: State, read_with: ReadWith, *, index: bool = False) -> Orders:
    """What a state asks for; the index too where it is shown elsewhere than on the screen."""
    view = state.view
    trace = state.trace if has_trace(view) else TraceKind.LUMA
    spot, desk, settings = state.spot, state.desk, state.settings
    asked = state.held, index or state.rail.leaf is Leaf.INDEX
    return Orders(read_with, state.stripes, spot, trace, view, desk, settings, *asked)


def memories_of(registry: Registry) -> Memories:
    """Empty ones; live frames and held ones share them."""
    return {each.name: each.memory() for each in registry}


@dataclass(slots=True)
class _Known:
    """What was read last, for which orders and when."""

    orders: Orders
    spot_ns: int
    range_ns: int
    looked_ns: int
    range_rest_ns: int = RANGE_EVERY_NS
    look_rest_ns: int = LOOK_EVERY_NS
    spot: SpotReading | None = None
    range: RangeReading | None = None
    stripes: tuple[StripeShown, ...] = ()
    figures: Mapping[str, str] = field(default_factory=dict)


class Measurer:
    """Takes censuses and readings. `measure` belongs to one thread; `give_back` to any."""

    def __init__(
        self,
        clock: Clock,
        stats: Stats,
        registry: Registry,
        memories: Memories | None = None,
        frames: Frames = Frames.LIVE,
        ceilings: Ceilings | None = None,
    ) -> None:
        self._clock, self._stats, self._frames = clock, stats, frames
        self._registry, self._ceilings = registry, ceilings or Ceilings()
        self.crew: Crew = ALONE
        self._memories = memories_of(registry) if memories is None else memories
        self._spare: deque[Census] = deque(maxlen=SPARE_CENSUSES)
        self._yard: tuple[ReadWith, Signal, int, Yardstick] | None = None
        self._under: tuple[Yardstick, Yardstick] | None = None
        self._known: _Known | None = None
        self._shown = AnswerShown(self._memories)
        self._last_spots, self._figures = LastSpots(), Figures(registry, self._memories)
        self._still: tuple[int, int] | None = None

    def measure(self, frame: Frame, orders: Orders) -> Measured:
        """The census of a frame; numbers too, where they are due or the orders are new."""
        frame = orders.read_with.frame(frame)
        base = self._yardstick(frame, orders.read_with)
        yard = self._under_ceilings(base, orders.read_with)
        instrument = self._registry.in_view(orders.view)
        start_ns = self._clock.now_ns()
        still = (frame.number, frame.time_ns) if self._frames is Frames.HELD else None
        if still != self._still:  # the numbers of a held frame are its own
            self._still, self._known = still, None
            self._shown.forget()
        known = self._known
        if known is None or known.orders != orders:
            known = self._known = _Known(
                orders,
                start_ns - SPOT_EVERY_NS,
                start_ns - RANGE_EVERY_NS,
                start_ns - LOOK_EVERY_NS,
            )
        spot_due = not 0 <= start_ns - known.spot_ns < SPOT_EVERY_NS
        range_due = not 0 <= start_ns - known.range_ns < known.range_rest_ns
        wants = wants_of(instrument, self._registry, orders, due=range_due)
        spare = self._spare.pop() if self._spare else None
        census = take_census(frame, yard, wants, spare, self.crew)
        self._note("census", start_ns)
        spot = orders.place
        place = inside(spot.column, spot.row, spot.size, frame.columns, frame.rows)
        if range_due:  # first: it says where the camera clips
            known.range_ns = start_ns
            under = self._read_range(frame, base, census, known)
            if under is not yard:  # found with this very frame, which is then counted under it
                yard, census = under, take_census(frame, under, wants, census, self.crew)
                self._read_range(frame, base, census, known)
            took_ns = self._clock.now_ns() - start_ns
            known.range_rest_ns = max(RANGE_EVERY_NS, RANGE_REST * took_ns)
        if spot_due:
            known.spot_ns = start_ns
            self._read_spot(frame, yard, place, known)
        if spot_due or range_due:
            scene = self._scene(frame, yard, census, place, known, start_ns)
            self._follow(scene, orders)
            if range_due:
                self._answer(instrument, scene, orders)
                known.figures = self._figures.look(scene, orders, start_ns)
        said, answer = self._shown.said, self._shown.answer
        seen = known.spot, known.range, known.stripes
        shown = orders.view, known.figures
        return Measured(frame, yard, census, place, *seen, said, answer, *shown)

    def search_in(self, searches: Searches) -> None:
        """Have what takes long found there, from now on."""
        self._shown.searches = self._figures.searches = searches

    def give_back(self, census: Census) -> None:
        """A census that is no longer shown; its buffers are used again."""
        self._spare.append(census)

    def _yardstick(self, frame: Frame, read_with: ReadWith) -> Yardstick:
        known = self._yard
        if known is not None and known[:3] == (read_with, frame.signal, frame.shift):
            return known[3]
        yard = read_with.yardstick(frame.signal, frame.shift)
        self._yard = (read_with, frame.signal, frame.shift, yard)
        self._known = None
        return yard

    def _under_ceilings(self, base: Yardstick, read_with: ReadWith) -> Yardstick:
        """A yardstick under what is known of the camera's ceilings; the same while that is."""
        top, doubts = self._ceilings.known(read_with, base.signal)
        kept = self._under
        if kept is None or kept[0] is not base or kept[1].under(top, doubts) is not kept[1]:
            kept = self._under = base, base.under(top, doubts)
        return kept[1]

    def _scene(
        self,
        frame: Frame,
        yard: Yardstick,
        census: Census,
        place: SpotPlace,
        known: _Known,
        now_ns: int,
    ) -> Scene:
        return Scene(
            frame=frame,
            yard=yard,
            census=census,
            read_with=known.orders.read_with,
            desk=known.orders.desk,
            place=place,
            spot=known.spot,
            range=known.range,
            frames=self._frames,
            is_shown=known.orders.held is (self._frames is Frames.HELD),
            now_ns=now_ns,
            wall_s=self._clock.wall_s(),
        )

    # What cannot be read is shown as not known; the next frame may be another matter.

    def _read_spot(self, frame: Frame, yard: Yardstick, place: SpotPlace, known: _Known) -> None:
        start_ns = self._clock.now_ns()
        try:
            known.spot = read_spot(frame, yard, place)
        except OverlayError:
            known.spot = None
        if known.spot is not None and self._frames is Frames.LIVE:
            # Frames tell noise from texture, which one frame cannot; a held one is alone.
            key = (known.orders.read_with, frame.signal, frame.shift)
            known.spot = self._last_spots.of(key, yard, start_ns).add(known.spot)
        self._note("spot", start_ns)

    def _read_range(
        self, frame: Frame, base: Yardstick, census: Census, known: _Known
    ) -> Yardstick:
        """The range, and the yardstick under the ceilings that are known with it."""
        start_ns = self._clock.now_ns()
        read_with = known.orders.read_with
        yard = self._under_ceilings(base, read_with)
        try:
            speck = read_with.profile.speck_percent
            lately = 0 <= start_ns - known.looked_ns < known.look_rest_ns
            before = known.range if lately else None
            top = before or yard.flat_top
            found = read_range(frame, yard, census, speck, known=top, crew=self.crew)
            if before is None:
                known.looked_ns, took_ns = start_ns, self._clock.now_ns() - start_ns
                known.look_rest_ns = max(LOOK_EVERY_NS, LOOK_REST * took_ns)
                if self._frames is Frames.LIVE:
                    self._ceilings.see(read_with, base, found)
            if self._frames is Frames.LIVE:
                yard = self._under_ceilings(base, read_with)
            else:
                yard = base.under(found.flat_top, found.doubts)
            known.range = found
        except OverlayError:
            known.range = None
        known.stripes = tuple(stripe_shown(band, yard, census) for band in known.orders.stripes)
        self._note("range", start_ns)
        return yard

    def _follow(self, scene: Scene, orders: Orders) -> None:
        if self._frames is not Frames.LIVE:
            return
        settings = dict(orders.settings)
        for each in self._registry:
            in_view = orders.view in each.views
            each.follow(scene, settings[each.name], self._memories[each.name], in_view=in_view)

    def _answer(self, instrument: Instrument[Any, Any, Any], scene: Scene, orders: Orders) -> None:
        also = orders.view, orders.read_with, scene.frame.signal
        self._shown.look(instrument, scene, orders.settings, also)

    def _note(self, stage: str, start_ns: int) -> None:
        self._stats.stages[stage].add_ns(self._clock.now_ns() - start_ns)
