"""Measures frame after frame with what the state asks for; keeps what can be kept between them."""

from collections import deque
from collections.abc import Iterator
from dataclasses import replace

from firmware.clock import Clock
from firmware.health.stats import Stats
from firmware.instruments.desk import inside
from firmware.instruments.registry import Registry
from firmware.instruments.scene import Frames
from firmware.live.figures import wants_of
from firmware.live.kept_ceilings import Ceilings
from firmware.live.meantime import Meantime, timed
from firmware.live.memories import Memories, memories_of
from firmware.live.number_reader import NumberReader
from firmware.live.orders import Orders
from firmware.live.read_so_far import LOOK_EVERY_NS, RANGE_EVERY_NS, ReadSoFar, TakenUp
from firmware.live.yards import Yards
from overlays.draw.moment.shown import Measured
from overlays.measure.counting.census import Census, Wants, census_in_steps, take_census
from overlays.measure.counting.yardstick import Yardstick
from overlays.sharing.crew import ALONE, Crew
from overlays.sharing.stepwise import Steps, whole
from overlays.signal.frame import Frame
from overlays.signal.kept_frame import Copier

SPOT_EVERY_NS = 100_000_000
"""The spot is read ten times a second: faster, no eye could. The census counts every frame."""
PAUSE_NS = 10 * SPOT_EVERY_NS
"""From one reading of the spot to the next, after which those before it say nothing of it."""

CENSUS_STEPS = 8
"""In so many a range's counts are taken. A frame that comes in waits for the end of one: at 1080p60
some 9 ms are left behind it, and on two slow cores a fourth of the counts took 7, an eighth 3."""
SPARE_CENSUSES = 4


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
        memories = memories_of(registry) if memories is None else memories
        self._reader = NumberReader(clock, stats, registry, memories, frames, self._yards)
        self._crew: Crew = ALONE
        self._spare: deque[Census] = deque(maxlen=SPARE_CENSUSES)
        self._base: Yardstick | None = None
        self._kept: Census | None = None
        self._known: ReadSoFar | None = None
        self._still: tuple[int, int] | None = None
        self._meantime: Meantime | None = None
        self._range_copier, self._spot_copier = Copier(), Copier()
        self._spot_steps: Iterator[None] = iter(())
        self._followed: Census | None = None

    @property
    def crew(self) -> Crew:
        """Who counts."""
        return self._crew

    @crew.setter
    def crew(self, crew: Crew) -> None:
        self._crew = self._reader.crew = crew

    def measure(self, frame: Frame, orders: Orders) -> Measured:
        """The census of a frame; numbers too, where they are due or the orders are new.

        Where frames come fast, numbers are read meanwhile, and stand with a later one.
        """
        start_ns = self._clock.now_ns()
        taken = self._taken(orders.read_with.frame(frame), orders, start_ns)
        known, is_quick = taken.known, self._meantime is not None and self._meantime.is_quick
        spot_due = not 0 <= start_ns - known.spot_ns < SPOT_EVERY_NS
        rests = 0 <= start_ns - known.range_ns < known.range_rest_ns
        range_due = not rests and not known.is_ranging
        range_now = range_due and not (is_quick and known.range is not None)
        spot_now = range_now or (spot_due and not (is_quick and known.spot is not None))
        spare = self._spare.pop() if self._spare else None
        census = self._census(taken, spare, start_ns, due=range_now)
        yard = taken.yard
        if range_now:  # first: it says where the camera clips
            yard, census = self._range_now(taken, census, start_ns)
        if spot_now:
            self._spot_now(taken, yard, census, start_ns, is_due=spot_due, answers=range_now)
        elif spot_due:
            self._spot_later(taken, census, start_ns)
        if range_due and not range_now:
            self._range_later(taken, start_ns)
        shown = self._reader.shown
        told = shown.said, shown.answer
        seen = known.spot, known.range, known.stripes, *told, orders.view, known.figures
        return Measured(taken.frame, yard, census, taken.place, *seen)

    def wait_in(self, meantime: Meantime) -> Meantime:
        """Have what need not be done at once wait there, from now on; the same is given back."""
        self._meantime = self._reader.shown.meantime = meantime
        return meantime

    def give_back(self, census: Census) -> None:
        """A census that is no longer shown; its buffers are used again, unless one is read yet."""
        if census is not self._followed:
            self._spare.append(census)

    def _taken(self, frame: Frame, orders: Orders, now_ns: int) -> TakenUp:
        """A frame with what was read last for the same orders; where nothing was, all is due."""
        base = self._yards.base(frame, orders.read_with)
        yard = self._yards.under_ceilings(base, orders.read_with)
        still = (frame.number, frame.time_ns) if self._frames is Frames.HELD else None
        if still != self._still:  # the numbers of a held frame are its own
            self._still, self._known = still, None
            self._reader.shown.forget()
        known, spot = self._known, orders.place
        if known is None or base is not self._base or known.orders != orders:
            dues = now_ns - SPOT_EVERY_NS, now_ns - RANGE_EVERY_NS, now_ns - LOOK_EVERY_NS
            known = self._known = ReadSoFar(orders, *dues)
        self._base = base
        place = inside(spot.column, spot.row, spot.size, frame.columns, frame.rows)
        return TakenUp(frame, base, yard, place, known)

    def _census(self, taken: TakenUp, spare: Census | None, start_ns: int, *, due: bool) -> Census:
        wants = self._wants(taken.known, due=due)
        census = take_census(taken.frame, taken.yard, wants, spare, self._crew)
        self._stats.stages["census"].add_ns(self._clock.now_ns() - start_ns)
        return census

    def _counted_again(self, taken: TakenUp, census: Census) -> Census:
        return self._census(taken, census, self._clock.now_ns(), due=True)

    def _wants(self, known: ReadSoFar, *, due: bool) -> Wants:
        in_view = self._registry.in_view(known.orders.view)
        return wants_of(in_view, self._registry, known.orders, due=due)

    def _spot_now(
        self,
        taken: TakenUp,
        yard: Yardstick,
        census: Census,
        now_ns: int,
        *,
        is_due: bool,
        answers: bool,
    ) -> None:
        """The spot, if it is due; who follows the light is told, and the instrument measures."""
        self._finish_spot()
        if is_due:
            taken.known.spot_ns = now_ns
            self._reader.spot(taken, yard)
        scene = self._reader.scene(taken, yard, census, now_ns)
        self._reader.follow(scene, taken.known.orders)
        if answers:
            self._reader.answer(scene, taken.known)

    def _spot_later(self, taken: TakenUp, census: Census, now_ns: int) -> None:
        """The spot of a copy, before whatever else waits: it is little, and wanted most often."""
        taken.known.spot_ns = now_ns
        self._finish_spot()
        copied = replace(taken, frame=self._spot_copier.copy(taken.frame))
        self._followed = census
        steps = self._spot_steps_of(copied, census, now_ns)
        self._spot_steps = self._while_asked(taken.known, steps)
        if self._meantime is not None:
            self._meantime.add(self._spot_steps, first=True)

    def _finish_spot(self) -> None:
        """What is left of a frame before comes first: nobody is told of them out of order."""
        for _ in self._spot_steps:
            pass

    def _spot_steps_of(self, taken: TakenUp, census: Census, now_ns: int) -> Iterator[None]:
        self._reader.spot(taken, taken.yard)
        yield
        scene = self._reader.scene(taken, taken.yard, census, now_ns)
        self._reader.follow(scene, taken.known.orders)
        self._followed = None

    def _range_now(self, taken: TakenUp, census: Census, start_ns: int) -> tuple[Yardstick, Census]:
        steps = self._reader.range(taken, census, self._counted_again)
        found = whole(timed(steps, self._clock, taken.known.rest_of_range))
        taken.known.range_ns = start_ns
        return found

    def _range_later(self, taken: TakenUp, now_ns: int) -> None:
        taken.known.range_ns, taken.known.is_ranging = now_ns, True
        copied = replace(taken, frame=self._range_copier.copy(taken.frame))
        steps = timed(self._range_steps_of(copied, now_ns), self._clock, taken.known.rest_of_range)
        if self._meantime is not None:
            self._meantime.add(self._while_asked(taken.known, steps))

    def _while_asked(self, known: ReadSoFar, steps: Iterator[None]) -> Iterator[None]:
        """Steps, which are left where other things are ordered meanwhile."""
        if known is self._known:
            for _ in steps:
                yield
                if known is not self._known:
                    return

    def _range_steps_of(self, taken: TakenUp, at_ns: int) -> Steps[None]:
        """The range of a frame, a copy, and what the instrument in view makes of it.

        Whoever follows the light is told of no frame here: newer ones have been followed since.
        """
        known, spot = taken.known, taken.known.spot  # which was read before, if it was due
        wants = self._wants(known, due=True)
        how = taken.yard, wants, self._kept, self._crew, CENSUS_STEPS
        for census in census_in_steps(taken.frame, *how):
            self._kept = census
            yield
        assert self._kept is not None
        steps = self._reader.range(taken, self._kept, self._counted_again)
        yard, self._kept = yield from steps
        yield
        scene = self._reader.scene(taken, yard, self._kept, at_ns)
        self._reader.answer(replace(scene, spot=spot), known)
        known.range_ns, known.is_ranging = at_ns, False
