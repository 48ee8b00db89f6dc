"""The picture: native codes to pixels of a screen, scaled, with stripes, in one pass.

For eyes only. Nothing is measured here, and no measurement reads what is drawn.
"""

from functools import partial

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.draw.layout.cube import Cube
from overlays.draw.layout.monitor import PLAIN, Monitor, ViewTransform
from overlays.draw.picture.cube_table import cube_table
from overlays.draw.picture.hidden import NOTHING, Hidden
from overlays.draw.picture.mixing import ViewTable, view_table
from overlays.draw.picture.pixel_kernels import (
    mirror,
    mix_colour,
    mix_rgb,
    nudges,
    paint_stripes,
    store_cubed,
    store_mapped,
    store_plain,
    store_viewed,
)
from overlays.draw.picture.plan import Plan, Scratch, planned, scratch_for
from overlays.draw.picture.plane_words import PlaneReader, drawn_bits
from overlays.draw.picture.row_kernels import (
    gather_rows,
    needed_for,
    width_by_ratio,
    width_by_taps,
    width_doubled,
)
from overlays.draw.picture.stop_map import map_table
from overlays.draw.picture.stripes import PaintedBand, stripe_tables
from overlays.errors import DrawingError
from overlays.measure.counting.yardstick import Yardstick
from overlays.sharing.crew import ALONE, Crew, Task, swaths
from overlays.signal.frame import Frame
from overlays.signal.signal import Components

Pixels = npt.NDArray[np.uint32]
Long = npt.NDArray[np.int64]
Row = npt.NDArray[np.int16]
Bytes = npt.NDArray[np.uint8]
Starts = npt.NDArray[np.uint32]
Place = tuple[int, int, int]
"""The lowest and the highest level of a user's table, and the gain between."""

_NO_TABLE = np.empty(0, np.uint8)
_NO_WEIGHTS = np.empty(0, np.int32)
_NO_MAP = (np.empty(0, np.uint32), 0)
_NO_CUBE = (np.empty(0, np.uint32), (0, 0, 0))


@nb.njit(cache=True, nogil=True)
def _paint(
    data: tuple[Bytes, Bytes, Bytes],
    planes: Long,
    scaling: tuple[tuple[Long, Row], tuple[Starts, Row], tuple[int, int, int]],
    rows: Scratch,
    mixing: tuple[
        Row, int, int, npt.NDArray[np.int32], Bytes, tuple[Pixels, int], tuple[Pixels, Place]
    ],
    drawing: tuple[Long, Pixels, Pixels, tuple[int, int, int], tuple[int, int], tuple[int, int]],
) -> None:
    """Some rows, one by one, so that each stays in the cache from first sample to last stripe.

    `drawing` ends with where the first row begins in the target, the step from row to row, and
    whether rows are mirrored (1); how many columns are drawn above which row; then the first row to
    draw and one past the last.
    """
    vertical, horizontal, ratio = scaling
    gathered, larger, whole, all_spare, wide = rows
    gains, lift, zero, weights, table, (colours, down), (cube, place) = mixing
    bands, patterns, target, (begin, pitch, mirrored), (fewer, above), drawn = drawing
    # Of a map by level, colour is not even read.
    nudge = nudges(all_spare.size if cube.size != 0 else 0)
    planes_read = 1 if colours.size != 0 and weights.size == 0 else 3
    for y in range(drawn[0], drawn[1]):
        columns = fewer if y < above else all_spare.size
        spare = all_spare[:columns]
        widened = whole[0][:columns], whole[1][:columns], whole[2][:columns]
        for k in range(planes_read):
            of = min(k, 1)
            line = needed_for(gathered[k], columns, all_spare.size, ratio)
            gather_rows(data[k], planes[k], vertical[0][of, y], vertical[1][of, y], line)
            if ratio[0] == 0:
                width_by_taps(line, horizontal[0][of], horizontal[1][of], wide, widened[k])
            elif ratio[2] == 0:
                width_by_ratio(line, ratio[0], 1 if k == 0 else ratio[1], widened[k])
            else:
                samples = 1 if k == 0 else ratio[1]
                width_doubled(line, (larger, ratio[2]), ratio[0], samples, widened[k])
        if weights.size != 0:
            mix_rgb(widened, spare, gains, lift, weights)
        elif planes_read == 3:
            mix_colour(widened, spare, gains, lift, zero)
        first = begin + y * pitch
        out = target[first : first + spare.size]
        if colours.size != 0:
            store_mapped(widened[0], colours, down, out)
        elif cube.size != 0:
            store_cubed((spare, widened[1], widened[2]), nudge[y & 1], cube, place, out)
        elif table.size != 0:
            store_viewed(spare, widened[1], widened[2], table, out)
        else:
            store_plain(spare, widened[1], widened[2], out)
        paint_stripes(widened[0], y, bands, patterns, out)
        if mirrored != 0:
            mirror(out)


class PictureDrawer:
    """Draws frames; keeps plans and buffers, so that a frame like the last one allocates nothing.

    One drawer belongs to one thread.
    """

    def __init__(self) -> None:
        self._reader = PlaneReader()
        self._plan: tuple[object, Plan] | None = None
        self._scratches: list[Scratch] = []
        self._view: tuple[Yardstick, ViewTable | None] | None = None
        self._cube: tuple[Yardstick, Cube, tuple[Pixels, Place]] | None = None
        self._map: tuple[Yardstick, Plan, tuple[Pixels, int]] | None = None
        self._stripes: tuple[object, tuple[Long, Pixels]] | None = None

    def draw(  # noqa: PLR0913, PLR0917 - what a picture is made of
        self,
        frame: Frame,
        yard: Yardstick,
        stripes: tuple[PaintedBand, ...],
        target: Pixels,
        monitor: Monitor = PLAIN,
        crew: Crew = ALONE,
        hidden: Hidden = NOTHING,
    ) -> None:
        """Fill `target` with the whole picture, but for what is hidden; see `tasks`."""
        crew.together(self.tasks(frame, yard, stripes, target, monitor, crew, hidden))

    def tasks(  # noqa: PLR0913, PLR0917 - what a picture is made of
        self,
        frame: Frame,
        yard: Yardstick,
        stripes: tuple[PaintedBand, ...],
        target: Pixels,
        monitor: Monitor = PLAIN,
        crew: Crew = ALONE,
        hidden: Hidden = NOTHING,
    ) -> list[Task]:
        """What fills `target` with the whole picture, but for what is hidden.

        Parameters
        ----------
        frame:
            In native codes, any layout.
        yard:
            Of the frame's signal; its curve makes the view transform.
        stripes:
            Bands to paint, later ones over earlier ones; judged on the luma drawn.
        target:
            (rows, columns) uint32 view of 0x00RRGGBB pixels, columns side by side in memory. It
            may be larger or smaller than the frame, and any part of a larger picture.
        monitor:
            Which view transform, whether by stops, and how it is turned.
        crew:
            Who draws it, each its own rows.
        hidden:
            What is painted over right after; it may be left as it is.

        Returns
        -------
        list of Task
            One for each of the crew, of rows of its own; to be done before this is asked again.

        Raises
        ------
        DrawingError
            The target is empty, or its pixels do not lie side by side.
        """
        if target.ndim != 2 or 0 in target.shape or target.strides[1] != 4:
            raise DrawingError(
                f"a picture cannot be drawn on an area of shape {target.shape}; rows of 32-bit "
                "pixels side by side are needed"
            )
        plan = self._planned(frame, target)
        words = self._reader.words(frame)
        mask = (1 << drawn_bits(frame)) - 1
        planes = np.array([(w.word_bytes, w.stride_words, w.shift, mask) for w in words], np.int64)
        weights = _luma_weights(yard) if frame.signal.components is Components.RGB else _NO_WEIGHTS
        scaling = plan.vertical, plan.horizontal, plan.ratio
        looks = self._looks(frame, plan, yard, monitor, crew)
        mixing = plan.gains, plan.lift, plan.zero, weights, *looks
        bands = self._bands(frame, plan, stripes, target.shape[1], monitor)
        rows, columns, above = hidden.drawn(target.shape, monitor)
        onto = (*bands, *_flat(target, monitor), (columns, above))
        data = words[0].data, words[1].data, words[2].data
        cuts = swaths(rows, crew.workers)
        while len(self._scratches) < len(cuts):
            self._scratches.append(scratch_for(plan, frame.columns, target.shape[1]))
        return [
            partial(_paint, data, planes, scaling, scratch, mixing, (*onto, cut))
            for scratch, cut in zip(self._scratches, cuts, strict=False)
        ]

    def _planned(self, frame: Frame, target: Pixels) -> Plan:
        key = (frame.signal, frame.rows, frame.columns, target.shape)
        if self._plan is None or self._plan[0] != key:
            self._plan = (key, planned(frame, target.shape[0], target.shape[1]))
            self._scratches = []
        return self._plan[1]

    def _looks(
        self, frame: Frame, plan: Plan, yard: Yardstick, monitor: Monitor, crew: Crew
    ) -> tuple[Bytes, tuple[Pixels, int], tuple[Pixels, Place]]:
        """View transform, map by stops, a user's table; at most one of them is not empty."""
        if monitor.stop_map:
            if self._map is None or self._map[0] is not yard or self._map[1] is not plan:
                self._map = (yard, plan, map_table(yard, drawn_bits(frame), plan.scale))
            return _NO_TABLE, self._map[2], _NO_CUBE
        if monitor.own is not None:
            return _NO_TABLE, _NO_MAP, self._cubed(monitor.own, yard, crew)
        plain = monitor.transform is ViewTransform.AS_SENT
        return (_NO_TABLE if plain else self._table(yard)), _NO_MAP, _NO_CUBE

    def _cubed(self, cube: Cube, yard: Yardstick, crew: Crew) -> tuple[Pixels, Place]:
        if self._cube is None or self._cube[0] is not yard or self._cube[1] is not cube:
            made = cube_table(cube, yard, crew)
            self._cube = (yard, cube, (made.colours, (made.low, made.high, made.gain)))
        return self._cube[2]

    def _table(self, yard: Yardstick) -> npt.NDArray[np.uint8]:
        if self._view is None or self._view[0] is not yard:
            self._view = (yard, view_table(yard))
        table = self._view[1]
        return _NO_TABLE if table is None else table

    def _bands(
        self,
        frame: Frame,
        plan: Plan,
        stripes: tuple[PaintedBand, ...],
        columns: int,
        monitor: Monitor,
    ) -> tuple[Long, Pixels]:
        # Turned one way, lines would lean the other way: they say what they are by their lean.
        lean = -1 if monitor.flipped != monitor.mirrored else 1
        key = (stripes, plan, columns, lean)
        if self._stripes is None or self._stripes[0] != key:
            self._stripes = (key, stripe_tables(frame, plan.scale, stripes, columns, lean))
        return self._stripes[1]


def _luma_weights(yard: Yardstick) -> npt.NDArray[np.int32]:
    """Luma of R', G', B' in 1/32768."""
    return np.round(yard.weights * 32768.0).astype(np.int32)


def _flat(target: Pixels, monitor: Monitor) -> tuple[Pixels, tuple[int, int, int]]:
    """The target as one row from its first pixel to its last, and how rows lie in it."""
    pitch = target.strides[0] // 4
    last = (target.shape[0] - 1) * pitch
    flat = np.lib.stride_tricks.as_strided(target, (last + target.shape[1],), (4,))
    begin, step = (last, -pitch) if monitor.flipped else (0, pitch)
    return flat, (begin, step, int(monitor.mirrored))
