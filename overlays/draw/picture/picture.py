"""The picture: native codes to pixels of a screen, scaled, with stripes, in one pass.

For eyes only. Nothing is measured here, and no measurement reads what is drawn.
"""

from dataclasses import dataclass

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.draw.layout.monitor import PLAIN, Monitor, ViewTransform
from overlays.draw.picture.mixing import ViewTable, mix, view_table
from overlays.draw.picture.pixel_kernels import (
    mirror,
    mix_colour,
    mix_rgb,
    paint_stripes,
    store_mapped,
    store_plain,
    store_viewed,
)
from overlays.draw.picture.plane_words import PlaneReader, drawn_bits
from overlays.draw.picture.row_kernels import (
    gather_rows,
    width_by_ratio,
    width_by_taps,
    width_doubled,
)
from overlays.draw.picture.stop_map import map_table
from overlays.draw.picture.stripes import PaintedBand, stripe_tables
from overlays.draw.picture.taps import Taps, exact_total, folded, taps, width_loop
from overlays.errors import DrawingError
from overlays.measure.counting.yardstick import Yardstick
from overlays.signal.frame import Frame
from overlays.signal.signal import Components

Pixels = npt.NDArray[np.uint32]
Long = npt.NDArray[np.int64]
Row = npt.NDArray[np.int16]
Bytes = npt.NDArray[np.uint8]
Starts = npt.NDArray[np.uint32]
_Three = tuple[Row, Row, Row]

TAPS_TOTAL = 128
"""Sum of the weights of any other ratio of width; `width_by_taps` takes it out again."""

_NO_TABLE = np.empty(0, np.uint8)
_NO_WEIGHTS = np.empty(0, np.int32)
_NO_MAP = (np.empty(0, np.uint32), 0)


@dataclass(frozen=True, slots=True, eq=False)
class _Plan:
    """All that depends on sizes and signal, made once and used for every frame like it.

    Arrays are few and shared, since numba unpacks each one anew for every call.
    """

    vertical: tuple[Long, Row]
    """First source rows, (2, rows): of luma, of chroma; their weights (2, rows, taps)."""
    horizontal: tuple[Starts, Row]
    """First source columns, (2, columns) uint32; their weights (2, taps, columns)."""
    ratio: tuple[int, int, int]
    """Number of the loop for the width; luma columns per chroma sample; how often rows are doubled
    before that."""
    scale: int
    gains: Row
    lift: int
    zero: int
    gathered: tuple[Row, Row, Row]
    larger: tuple[Row, Row]
    """Rows doubled once and twice."""
    widened: tuple[Row, Row, Row]
    spare: Row
    wide: npt.NDArray[np.int32]


def _plan(frame: Frame, drawn_rows: int, drawn_columns: int) -> _Plan:
    signal, bits = frame.signal, drawn_bits(frame)
    sub, chroma = signal.subsampling, frame.planes[1].shape
    largest = 32767 // ((1 << bits) - 1)
    exact = exact_total(frame.rows, drawn_rows)
    rows = taps(frame.rows, drawn_rows, exact if exact and exact <= largest else largest)
    number, total, times = width_loop(frame.columns, drawn_columns, sub.columns)
    if times:
        # Enlarged rows have no exact weights: coarser ones leave room for those of the width.
        rows = taps(frame.rows, drawn_rows, largest // total)
    if rows.total * total > largest:
        number, total, times = 0, 1, 0
    columns = taps(frame.columns, drawn_columns, TAPS_TOTAL)
    mixed = mix(signal, bits, rows.total * total)
    starts, weights = _paired(columns, folded(columns, chroma[1], sub.columns))
    return _Plan(
        vertical=_paired(rows, folded(rows, chroma[0], sub.rows)),
        horizontal=(
            starts.astype(np.uint32),
            np.ascontiguousarray(weights.transpose(0, 2, 1)),
        ),
        ratio=(number, sub.columns, times),
        scale=rows.total * total,
        gains=np.concatenate([mixed.gains, mixed.offsets]),
        lift=mixed.lift,
        zero=mixed.chroma_zero,
        gathered=_rows16(frame.columns, chroma[1], chroma[1]),
        larger=(np.empty(2 * frame.columns, np.int16), np.empty(4 * frame.columns, np.int16)),
        widened=_rows16(drawn_columns, drawn_columns, drawn_columns),
        spare=np.empty(drawn_columns, np.int16),
        wide=np.empty((2, max(drawn_columns, frame.columns)), np.int32),
    )


def _paired(luma: Taps, chroma: Taps) -> tuple[Long, Row]:
    """Both in one array; the shorter weights are filled up with zeros."""
    most = max(luma.weights.shape[1], chroma.weights.shape[1])
    weights = np.zeros((2, luma.start.size, most), np.int16)
    for row, one in enumerate((luma, chroma)):
        weights[row, :, : one.weights.shape[1]] = one.weights
    return np.stack([luma.start, chroma.start]), weights


def _rows16(luma: int, cb: int, cr: int) -> tuple[Row, Row, Row]:
    return np.empty(luma, np.int16), np.empty(cb, np.int16), np.empty(cr, np.int16)


@nb.njit(cache=True, nogil=True)
def _paint(
    data: tuple[Bytes, Bytes, Bytes],
    planes: Long,
    scaling: tuple[tuple[Long, Row], tuple[Starts, Row], tuple[int, int, int]],
    rows: tuple[_Three, tuple[Row, Row], _Three, Row, npt.NDArray[np.int32]],
    mixing: tuple[Row, int, int, npt.NDArray[np.int32], Bytes, tuple[Pixels, int]],
    drawing: tuple[Long, Pixels, Pixels, tuple[int, int, int]],
) -> None:
    """Row by row, so that each stays in the cache from the first sample to the last stripe.

    `drawing` ends with where the first row begins in the target, the step from row to row, and
    whether rows are mirrored (1).
    """
    vertical, horizontal, ratio = scaling
    gathered, larger, widened, spare, wide = rows
    gains, lift, zero, weights, table, (colours, down) = mixing
    bands, patterns, target, (begin, pitch, mirrored) = drawing
    # Of a map by level, colour is not even read.
    planes_read = 1 if colours.size != 0 and weights.size == 0 else 3
    for y in range(vertical[0].shape[1]):
        for k in range(planes_read):
            of = min(k, 1)
            gather_rows(data[k], planes[k], vertical[0][of, y], vertical[1][of, y], gathered[k])
            if ratio[0] == 0:
                width_by_taps(gathered[k], horizontal[0][of], horizontal[1][of], wide, widened[k])
            elif ratio[2] == 0:
                width_by_ratio(gathered[k], ratio[0], 1 if k == 0 else ratio[1], widened[k])
            else:
                samples = 1 if k == 0 else ratio[1]
                width_doubled(gathered[k], (larger, ratio[2]), ratio[0], samples, widened[k])
        if weights.size != 0:
            mix_rgb(widened, spare, gains, lift, weights)
        elif planes_read == 3:
            mix_colour(widened, spare, gains, lift, zero)
        first = begin + y * pitch
        out = target[first : first + spare.size]
        if colours.size != 0:
            store_mapped(widened[0], colours, down, out)
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
        self._plan: tuple[object, _Plan] | None = None
        self._view: tuple[Yardstick, ViewTable | None] | None = None
        self._map: tuple[Yardstick, _Plan, tuple[Pixels, int]] | None = None
        self._stripes: tuple[object, tuple[Long, Pixels]] | None = None

    def draw(
        self,
        frame: Frame,
        yard: Yardstick,
        stripes: tuple[PaintedBand, ...],
        target: Pixels,
        monitor: Monitor = PLAIN,
    ) -> None:
        """Fill `target` with the whole picture.

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
        _paint(
            (words[0].data, words[1].data, words[2].data),
            planes,
            (plan.vertical, plan.horizontal, plan.ratio),
            (plan.gathered, plan.larger, plan.widened, plan.spare, plan.wide),
            (plan.gains, plan.lift, plan.zero, weights, *self._looks(frame, plan, yard, monitor)),
            (
                *self._bands(frame, plan, stripes, target.shape[1], monitor),
                *_flat(target, monitor),
            ),
        )

    def _planned(self, frame: Frame, target: Pixels) -> _Plan:
        key = (frame.signal, frame.rows, frame.columns, target.shape)
        if self._plan is None or self._plan[0] != key:
            self._plan = (key, _plan(frame, target.shape[0], target.shape[1]))
        return self._plan[1]

    def _looks(
        self, frame: Frame, plan: _Plan, yard: Yardstick, monitor: Monitor
    ) -> tuple[Bytes, tuple[Pixels, int]]:
        """The view transform, and the map by stops; at most one of them is not empty."""
        if monitor.stop_map:
            if self._map is None or self._map[0] is not yard or self._map[1] is not plan:
                self._map = (yard, plan, map_table(yard, drawn_bits(frame), plan.scale))
            return _NO_TABLE, self._map[2]
        plain = monitor.transform is ViewTransform.AS_SENT
        return (_NO_TABLE if plain else self._table(yard)), _NO_MAP

    def _table(self, yard: Yardstick) -> npt.NDArray[np.uint8]:
        if self._view is None or self._view[0] is not yard:
            self._view = (yard, view_table(yard))
        table = self._view[1]
        return _NO_TABLE if table is None else table

    def _bands(
        self,
        frame: Frame,
        plan: _Plan,
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
