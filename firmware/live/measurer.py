"""Measures frame after frame with what the state asks for; keeps what can be kept between them."""

from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from firmware.clock import Clock
from firmware.health.stats import Stats
from firmware.instruments.desk import inside
from firmware.instruments.registry import Registry
from firmware.instruments.scene import Frames, Scene
from firmware.live.answer_shown import AnswerShown
from firmware.live.figures import Figures, wants_of
from firmware.live.kept_ceilings import Ceilings
from firmware.live.last_spots import LastSpots
from firmware.live.meantime import Meantime
from firmware.live.memories import Memories, memories_of
from firmware.live.orders import Orders
from firmware.live.stripes_shown import stripe_shown
from firmware.live.yards import Yards
from overlays.draw.moment.shown import Measured, StripeShown
from overlays.errors import OverlayError
from overlays.measure.counting.census import Census, Wants, census_in_steps, take_census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.range import RangeReading, read_range
from overlays.measure.range.tile_areas import Areas, look_at
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.sharing.crew import ALONE, Crew
from overlays.signal.frame import Frame
from overlays.signal.kept_frame import Copier

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

CENSUS_STEPS, SPARE_CENSUSES = 4, 4


@dataclass(slots=True)
class _Known:
    """What was read last, for which orders and when."""

    orders: Orders
    spot_ns: int
    range_ns: int
    looked_ns: int
    range_rest_ns: int = RANGE_EVERY_NS
    look_rest_ns: int = LOOK_EVERY_NS
    is_ranging: bool = False
    spot: SpotReading | None = None
    range: RangeReading | None = None
    stripes: tuple[StripeShown, ...] = ()
    figures: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class _Taken:
    """A frame, and what it is read with, for which orders."""

    frame: Frame
    base: Yardstick
    yard: Yardstick
    place: SpotPlace
    known: _Known


class Measurer:
    """Takes censuses and readings. `measure` belongs to one thread; `give_back` to any.

    What need not be done at once waits, where there is a place for it (`wait_in`).
    """

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
        self._registry, self._yards = registry, Yards(ceilings or Ceilings())
        self.crew: Crew = ALONE
        self._memories = memories_of(registry) if memories is None else memories
        self._spare: deque[Census] = deque(maxlen=SPARE_CENSUSES)
        self._base: Yardstick | None = None
        self._copier = Copier()
        self._kept: Census | None = None
        self._known: _Known | None = None
        self._shown = AnswerShown(self._memories)
        self._last_spots, self._figures = LastSpots(), Figures(registry, self._memories)
        self._still: tuple[int, int] | None = None

    def measure(self, frame: Frame, orders: Orders) -> Measured:
        """The census of a frame; numbers too, where they are due or the orders are new.

        Where frames come fast the range is read meanwhile, and stands with a later one.
        """
        start_ns = self._clock.now_ns()
        taken = self._taken(orders.read_with.frame(frame), orders, start_ns)
        frame, yard, known = taken.frame, taken.yard, taken.known
        spot_due = not 0 <= start_ns - known.spot_ns < SPOT_EVERY_NS
        rests = 0 <= start_ns - known.range_ns < known.range_rest_ns
        range_due = not rests and not known.is_ranging
        meantime = self._shown.meantime if range_due and known.range is not None else None
        is_later = meantime is not None and meantime.is_quick
        is_now = range_due and not is_later
        spare = self._spare.pop() if self._spare else None
        census = self._census(taken, spare, start_ns, due=is_now)
        if is_now:  # first: it says where the camera clips
            yard, census = self._range(taken, census, start_ns)
        if spot_due:
            known.spot_ns = start_ns
            self._read_spot(taken, yard)
        if spot_due or is_now:
            scene = self._scene(taken, yard, census, start_ns)
            self._follow(scene, orders)
            if is_now:
                self._answer(scene, known)
        if meantime is not None and is_later:
            known.range_ns, known.is_ranging = start_ns, True
            copied = replace(taken, frame=self._copier.copy(frame))
            meantime.add(self._later(copied, known.spot))
        told = self._shown.said, self._shown.answer
        seen = known.spot, known.range, known.stripes, *told, orders.view, known.figures
        return Measured(frame, yard, census, taken.place, *seen)

    def _later(self, taken: _Taken, spot: SpotReading | None) -> Iterator[None]:
        """The range of a frame, a copy, and what the instrument in view makes of it, in steps.

        It is left where other things are ordered meanwhile. Whoever follows the light is told of no
        frame here: newer ones have been followed since.
        """
        known, start_ns = taken.known, self._clock.now_ns()
        at_ns, wants = known.range_ns, self._wants(known, due=True)
        how = taken.yard, wants, self._kept, self.crew, CENSUS_STEPS
        for census in census_in_steps(taken.frame, *how):
            self._kept = census
            yield
            if known is not self._known:
                return
        areas = look_at(taken.frame, taken.yard, self.crew)
        yield
        if known is not self._known:
            return
        yard, self._kept = self._range(taken, census, start_ns, areas)
        yield
        if known is self._known:
            scene = self._scene(taken, yard, self._kept, at_ns)
            self._answer(replace(scene, spot=spot), known)
            known.range_ns, known.is_ranging = at_ns, False

    def wait_in(self, meantime: Meantime) -> Meantime:
        """Have what need not be done at once wait there, from now on; the same is given back."""
        self._shown.meantime = meantime
        return meantime

    def give_back(self, census: Census) -> None:
        """A census that is no longer shown; its buffers are used again."""
        self._spare.append(census)

    def _taken(self, frame: Frame, orders: Orders, now_ns: int) -> _Taken:
        """A frame with what was read last for the same orders; where nothing was, all is due."""
        base = self._yards.base(frame, orders.read_with)
        yard = self._yards.under_ceilings(base, orders.read_with)
        still = (frame.number, frame.time_ns) if self._frames is Frames.HELD else None
        if still != self._still:  # the numbers of a held frame are its own
            self._still, self._known = still, None
            self._shown.forget()
        known, spot = self._known, orders.place
        if known is None or base is not self._base or known.orders != orders:
            dues = now_ns - SPOT_EVERY_NS, now_ns - RANGE_EVERY_NS, now_ns - LOOK_EVERY_NS
            known = self._known = _Known(orders, *dues)
        self._base = base
        place = inside(spot.column, spot.row, spot.size, frame.columns, frame.rows)
        return _Taken(frame, base, yard, place, known)

    def _census(self, taken: _Taken, spare: Census | None, start_ns: int, *, due: bool) -> Census:
        wants = self._wants(taken.known, due=due)
        census = take_census(taken.frame, taken.yard, wants, spare, self.crew)
        self._note("census", start_ns)
        return census

    def _range(
        self, taken: _Taken, census: Census, start_ns: int, areas: Areas | None = None
    ) -> tuple[Yardstick, Census]:
        """The range; and yardstick and census under the ceilings found with this very frame."""
        known = taken.known
        known.range_ns = start_ns
        under = self._read_range(taken, census, areas)
        if under is not taken.yard:
            under_it = replace(taken, yard=under)
            census = self._census(under_it, census, start_ns, due=True)
            self._read_range(under_it, census, areas)
        took_ns = self._clock.now_ns() - start_ns
        known.range_rest_ns = max(RANGE_EVERY_NS, RANGE_REST * took_ns)
        return under, census

    def _scene(self, taken: _Taken, yard: Yardstick, census: Census, now_ns: int) -> Scene:
        known = taken.known
        return Scene(
            frame=taken.frame,
            yard=yard,
            census=census,
            read_with=known.orders.read_with,
            desk=known.orders.desk,
            place=taken.place,
            spot=known.spot,
            range=known.range,
            frames=self._frames,
            is_shown=known.orders.held is (self._frames is Frames.HELD),
            now_ns=now_ns,
            wall_s=self._clock.wall_s(),
        )

    def _answer(self, scene: Scene, known: _Known) -> None:
        """With a new range the instrument in view measures, and one for the index."""
        orders = known.orders
        self._shown.look(self._registry.in_view(orders.view), scene, orders)
        known.figures = self._figures.look(scene, orders, scene.now_ns)

    def _wants(self, known: _Known, *, due: bool) -> Wants:
        in_view = self._registry.in_view(known.orders.view)
        return wants_of(in_view, self._registry, known.orders, due=due)

    # What cannot be read is shown as not known; the next frame may be another matter.

    def _read_spot(self, taken: _Taken, yard: Yardstick) -> None:
        start_ns, frame, known = self._clock.now_ns(), taken.frame, taken.known
        try:
            known.spot = read_spot(frame, yard, taken.place)
        except OverlayError:
            known.spot = None
        if known.spot is not None and self._frames is Frames.LIVE:
            # Frames tell noise from texture, which one frame cannot; a held one is alone.
            key = (known.orders.read_with, frame.signal, frame.shift)
            known.spot = self._last_spots.of(key, yard, start_ns).add(known.spot)
        self._note("spot", start_ns)

    def _read_range(self, taken: _Taken, census: Census, areas: Areas | None) -> Yardstick:
        """The range, and the yardstick under the ceilings that are known with it."""
        start_ns, base, known = self._clock.now_ns(), taken.base, taken.known
        read_with = known.orders.read_with
        yard = self._yards.under_ceilings(base, read_with)
        try:
            speck = read_with.profile.speck_percent
            lately = 0 <= start_ns - known.looked_ns < known.look_rest_ns
            before = known.range if lately else None
            seen = taken.frame, yard, census, speck, None, before or yard.flat_top
            found = read_range(*seen, areas=areas, crew=self.crew)
            if before is None:
                known.looked_ns, took_ns = start_ns, self._clock.now_ns() - start_ns
                known.look_rest_ns = max(LOOK_EVERY_NS, LOOK_REST * took_ns)
                if self._frames is Frames.LIVE:
                    self._yards.see(base, read_with, found)
            if self._frames is Frames.LIVE:
                yard = self._yards.under_ceilings(base, read_with)
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

    def _note(self, stage: str, start_ns: int) -> None:
        self._stats.stages[stage].add_ns(self._clock.now_ns() - start_ns)
