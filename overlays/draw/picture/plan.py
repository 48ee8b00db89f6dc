"""What drawing frames of one kind at one size takes, made once and used for all of them."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.draw.picture.mixing import mix
from overlays.draw.picture.plane_words import drawn_bits
from overlays.draw.picture.taps import Taps, exact_total, folded, taps, width_loop
from overlays.signal.frame import Frame

Long = npt.NDArray[np.int64]
Row = npt.NDArray[np.int16]
Starts = npt.NDArray[np.uint32]
Three = tuple[Row, Row, Row]
Scratch = tuple[Three, tuple[Row, Row], Three, Row, npt.NDArray[np.int32]]
"""Rows that one worker needs: gathered, doubled once and twice, widened, one to spare, wide ones.

A plain tuple: kernels are kept by what they are called with, and a name would have to stay.
"""

TAPS_TOTAL = 128
"""Sum of the weights of any other ratio of width; `width_by_taps` takes it out again."""


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """All that depends on sizes and signal, made once and used for every frame like it.

    Arrays are few and shared, since numba unpacks each one anew for every call.
    """

    vertical: tuple[Long, Row]
    """First source rows, (2, rows): of luma, of chroma; their weights (2, rows, taps)."""
    horizontal: tuple[Starts, Row]
    """First source columns, (2, columns) uint32; their weights (2, taps, columns). None where the
    width has a loop of its own."""
    ratio: tuple[int, int, int]
    """Number of the loop for the width; luma columns per chroma sample; how often rows are doubled
    before that."""
    scale: int
    gains: Row
    lift: int
    zero: int
    chroma_columns: int


_NO_COLUMNS = np.zeros((2, 0), np.int64), np.zeros((2, 0, 0), np.int16)


def planned(frame: Frame, drawn_rows: int, drawn_columns: int) -> Plan:
    """The plan for drawing frames like one at a size."""
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
    mixed = mix(signal, bits, rows.total * total)
    starts, weights = _NO_COLUMNS
    if number == 0:  # else a loop of its own knows its weights, and these take long to find
        columns = taps(frame.columns, drawn_columns, TAPS_TOTAL)
        starts, weights = _paired(columns, folded(columns, chroma[1], sub.columns))
    return Plan(
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
        chroma_columns=chroma[1],
    )


def scratch_for(plan: Plan, luma_columns: int, drawn_columns: int) -> Scratch:
    """Rows for one more worker."""
    chroma = plan.chroma_columns
    return (
        _rows16(luma_columns, chroma, chroma),
        (np.empty(2 * luma_columns, np.int16), np.empty(4 * luma_columns, np.int16)),
        _rows16(drawn_columns, drawn_columns, drawn_columns),
        np.empty(drawn_columns, np.int16),
        np.empty((2, max(drawn_columns, luma_columns)), np.int32),
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
