"""What is read of a frame besides its counts: spot, range, and what the instruments make of them.

All of it is of one frame, whose counts are handed in; when it is read is decided elsewhere.
"""

from collections.abc import Callable
from dataclasses import replace

from firmware.clock import Clock
from firmware.health.stats import Stats
from firmware.instruments.registry import Registry
from firmware.instruments.scene import Frames, Scene
from firmware.live.answer_shown import AnswerShown
from firmware.live.figures import Figures
from firmware.live.last_spots import LastSpots
from firmware.live.meantime import timed
from firmware.live.memories import Memories
from firmware.live.orders import Orders
from firmware.live.read_so_far import LOOK_EVERY_NS, ReadSoFar, TakenUp
from firmware.live.stripes_shown import stripe_shown
from firmware.live.yards import Yards
from overlays.errors import OverlayError
from overlays.measure.counting.census import Census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.range import range_in_steps
from overlays.measure.range.range_reading import RangeReading
from overlays.measure.range.tile_areas import Areas, look_at
from overlays.measure.spot.spot import read_spot
from overlays.sharing.crew import ALONE, Crew
from overlays.sharing.stepwise import Steps

LOOK_REST = 10
"""On a slow board ceilings are looked for less often: it rests for so many times as long."""

Count = Callable[[TakenUp, Census], Census]
"""Counts a frame anew by another yardstick, in the room of the counts that were."""

Ranged = tuple[Yardstick, Census]
"""What a range was read with in the end."""


class NumberReader:
    """Reads, and keeps what the next reading goes by. Belongs to the thread that measures.

    Parameters
    ----------
    clock, stats:
        Say when, and are told how long it took.
    registry, memories:
        The instruments, and what each keeps.
    frames:
        Which kind of frames is read.
    yards:
        Where a camera's ceilings are kept.
    """

    def __init__(
        self,
        clock: Clock,
        stats: Stats,
        registry: Registry,
        memories: Memories,
        frames: Frames,
        yards: Yards,
    ) -> None:
        self._clock, self._stats, self._frames = clock, stats, frames
        self._registry, self._memories, self._yards = registry, memories, yards
        self.crew: Crew = ALONE
        self.shown = AnswerShown(memories)
        self._last_spots, self._figures = LastSpots(), Figures(registry, memories)

    # What cannot be read is shown as not known; the next frame may be another matter.

    def spot(self, taken: TakenUp, yard: Yardstick) -> None:
        """The spot of a frame, and of those before it."""
        start_ns, frame, known = self._clock.now_ns(), taken.frame, taken.known
        try:
            known.spot = read_spot(frame, yard, taken.place)
        except OverlayError:
            known.spot = None
        if known.spot is not None and self._frames is Frames.LIVE:
            # Frames tell noise from texture, which one frame cannot; a held one is alone.
            key = (known.orders.read_with, frame.signal, frame.shift)
            known.spot = self._last_spots.of(key, yard, start_ns).add(known.spot)
        self._note("spot", self._clock.now_ns() - start_ns)

    def range(
        self, taken: TakenUp, census: Census, count: Count
    ) -> Steps[tuple[Yardstick, Census]]:
        """The range; and yardstick and census under the ceilings found with this very frame."""
        areas = look_at(taken.frame, taken.yard, self.crew)
        yield
        under = yield from self._range_by(taken, census, areas)
        if under is not taken.yard:
            under_it = replace(taken, yard=under)
            census = count(under_it, census)
            yield
            yield from self._range_by(under_it, census, areas)
        return under, census

    def _range_by(self, taken: TakenUp, census: Census, areas: Areas) -> Steps[Yardstick]:
        """The range by a yardstick, and the one under the ceilings that are known with it."""
        base, known = taken.base, taken.known
        read_with, start_ns = known.orders.read_with, self._clock.now_ns()
        yard = self._yards.under_ceilings(base, read_with)
        speck = read_with.profile.speck_percent
        lately = 0 <= start_ns - known.looked_ns < known.look_rest_ns
        before = known.range if lately else None
        top = before or yard.flat_top
        steps = range_in_steps(taken.frame, yard, census, areas, speck_percent=speck, known=top)
        took: list[int] = []
        try:
            found: RangeReading | None = yield from timed(steps, self._clock, took.append)
        except OverlayError:
            found = None
        if found is not None and before is None:
            known.looked_ns = start_ns
            known.look_rest_ns = max(LOOK_EVERY_NS, LOOK_REST * sum(took))
            if self._frames is Frames.LIVE:
                self._yards.see(base, read_with, found)
        if self._frames is Frames.LIVE:
            yard = self._yards.under_ceilings(base, read_with)
        elif found is not None:
            yard = base.under(found.flat_top, found.doubts)
        known.range = found
        known.stripes = tuple(stripe_shown(band, yard, census) for band in known.orders.stripes)
        self._note("range", sum(took))
        return yard

    def scene(self, taken: TakenUp, yard: Yardstick, census: Census, now_ns: int) -> Scene:
        """What instruments are given."""
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

    def answer(self, scene: Scene, known: ReadSoFar) -> None:
        """With a new range the instrument in view measures, and one for the index."""
        orders = known.orders
        self.shown.look(self._registry.in_view(orders.view), scene, orders)
        known.figures = self._figures.look(scene, orders, scene.now_ns)

    def follow(self, scene: Scene, orders: Orders) -> None:
        """Whoever follows the light is told of a frame; of live ones only, in their order."""
        if self._frames is not Frames.LIVE:
            return
        settings = dict(orders.settings)
        for each in self._registry:
            in_view = orders.view in each.views
            each.follow(scene, settings[each.name], self._memories[each.name], in_view=in_view)

    def _note(self, stage: str, took_ns: int) -> None:
        self._stats.stages[stage].add_ns(took_ns)
