"""The native codes of a few places, cut out of a frame so that they read as they did in it.

A reading looks at more than its spot: noise is judged from what lies around, and the step of the
codes from samples spread over the picture. Those are kept too. Put back into a frame that holds
nothing else, every place gives the same reading as in the whole one, to the last digit.
"""

import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from firmware.errors import JournalError
from overlays.errors import OverlayError
from overlays.measure.spot.code_step import looked_at
from overlays.measure.spot.noise import window_of
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.frame import Frame, Plane
from overlays.signal.signal import Signal

LEAST_AROUND = 16
"""Pixels kept around a spot at the least: a small spot is judged with what lies beside it."""
LEVEL = 3
"""Of the compression: codes are mostly noise, and more effort saves next to nothing."""
MOST_SIDE = 32_768
MOST_BYTES = 1 << 28
"""Of one row's codes, unpacked; more is no row of ours."""

Box = tuple[int, int, int, int]
"""First row, first column, rows, columns of luma; all of them whole samples of chroma."""


@dataclass(frozen=True, slots=True)
class Codes:
    """What was cut out.

    Attributes
    ----------
    rows, columns, sample_bytes:
        Of the frame, and of a sample.
    boxes:
        Where the pieces lie.
    packed:
        Samples of all pieces, plane by plane, then the luma that the step of the codes is judged
        by; little-endian, compressed by zlib.
    """

    rows: int
    columns: int
    sample_bytes: int
    boxes: tuple[Box, ...]
    packed: bytes


def cut(frame: Frame, places: Sequence[SpotPlace]) -> Codes:
    """Cut places out of a frame; those that stick out of it are cut at its edge.

    Parameters
    ----------
    frame:
        In native codes, any layout.
    places:
        Spots.
    """
    found = dict.fromkeys(_box(frame, place) for place in places)
    boxes = tuple(box for box in found if box[2] and box[3])
    pieces = [
        plane[slices].tobytes()
        for box in boxes
        for plane, slices in zip(frame.planes, _slices(frame.signal, box), strict=True)
    ]
    pieces.append(frame.planes[0][looked_at(frame.rows, frame.columns)].tobytes())
    size = frame.planes[0].dtype.itemsize
    return Codes(
        frame.rows, frame.columns, size, boxes, zlib.compress(b"".join(pieces), level=LEVEL)
    )


def put_back(
    codes: Codes, signal: Signal, shift: int = 0, number: int = 0, time_ns: int = 0
) -> Frame:
    """A frame that holds what was cut out, and nothing else.

    Parameters
    ----------
    codes:
        What was cut out.
    signal, shift, number, time_ns:
        Of the frame that it was cut out of.

    Raises
    ------
    JournalError
        There is more or less in it than the places take.
    """
    planes = _empty(codes, signal)
    if any(b[0] + b[2] > codes.rows or b[1] + b[3] > codes.columns for b in codes.boxes):
        raise JournalError("the stored codes do not fit their places (one lies outside)")
    data = _unpacked(codes.packed)
    at = 0
    try:
        for box in codes.boxes:
            for plane, slices in zip(planes, _slices(signal, box), strict=True):
                taken = plane[slices]
                taken[...] = _samples(data, at, codes.sample_bytes, taken.size).reshape(taken.shape)
                at += taken.nbytes
        where = looked_at(codes.rows, codes.columns)
        planes[0][where] = _samples(data, at, codes.sample_bytes, where[0].size)
        if at + where[0].size * codes.sample_bytes != len(data):
            raise ValueError("there are more codes than places")  # noqa: TRY301 - told below
        return Frame(planes, signal, shift, number, time_ns)
    except (ValueError, IndexError, OverlayError) as fault:
        raise JournalError(f"the stored codes do not fit their places ({fault})") from fault


def boxes_of(found: Any) -> tuple[Box, ...]:  # noqa: ANN401 - whatever stands in a file
    """Places as they stand in a row.

    Raises
    ------
    JournalError
        They are none.
    """
    try:
        boxes = [tuple(int(number) for number in each) for each in found]
    except (TypeError, ValueError) as fault:
        raise JournalError("the places of the stored codes cannot be understood") from fault
    if any(len(each) != 4 or min(each) < 0 or max(each) > MOST_SIDE for each in boxes):
        raise JournalError("the places of the stored codes lie in no picture")
    return tuple((a, b, c, d) for a, b, c, d in boxes)


def _box(frame: Frame, place: SpotPlace) -> Box:
    around = (frame.rows, frame.columns)
    rows, columns = window_of(place.row_span, place.column_span, around)
    # A span is widened where it is short: half of what is missing lies to either side.
    top = max(min(rows[0], place.row_span[0] - LEAST_AROUND), 0) // 2 * 2
    left = max(min(columns[0], place.column_span[0] - LEAST_AROUND), 0) // 2 * 2
    bottom = min(-(-max(rows[1], place.row_span[1] + LEAST_AROUND) // 2) * 2, frame.rows)
    right = min(-(-max(columns[1], place.column_span[1] + LEAST_AROUND) // 2) * 2, frame.columns)
    return top, left, max(bottom - top, 0), max(right - left, 0)


def _slices(signal: Signal, box: Box) -> tuple[tuple[slice, slice], ...]:
    top, left, rows, columns = box
    sub = signal.subsampling
    luma = slice(top, top + rows), slice(left, left + columns)
    chroma = (
        slice(top // sub.rows, -(-(top + rows) // sub.rows)),
        slice(left // sub.columns, -(-(left + columns) // sub.columns)),
    )
    return luma, chroma, chroma


def _empty(codes: Codes, signal: Signal) -> tuple[Plane, Plane, Plane]:
    sizes = (codes.rows, codes.columns, codes.sample_bytes)
    if min(sizes) < 1 or max(sizes[:2]) > MOST_SIDE or codes.sample_bytes not in {1, 2}:
        raise JournalError("the picture that the stored codes lie in is none")
    sub = signal.subsampling
    chroma = (-(-codes.rows // sub.rows), -(-codes.columns // sub.columns))
    kind: Any = np.uint8 if codes.sample_bytes == 1 else np.uint16
    # Pages that nothing is written to take no memory.
    return np.zeros(sizes[:2], kind), np.zeros(chroma, kind), np.zeros(chroma, kind)


def _unpacked(packed: bytes) -> bytes:
    unpacker = zlib.decompressobj()
    try:
        data = unpacker.decompress(packed, MOST_BYTES)
    except zlib.error as fault:
        raise JournalError(f"the stored codes are damaged ({fault})") from fault
    if unpacker.unconsumed_tail or not unpacker.eof:
        raise JournalError("the stored codes are cut short, or too many")
    return data


def _samples(data: bytes, at: int, size: int, count: int) -> npt.NDArray[Any]:
    kind = "<u1" if size == 1 else "<u2"
    return np.frombuffer(data, kind, count, at)
