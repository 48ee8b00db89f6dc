"""Whether a JPEG picture is whole, and the levels of its blocks."""

from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from firmware.v4l2.jpeg_head import JpegDamageError, JpegHead, Scan, read_until_scan
from firmware.v4l2.jpeg_tables import USUAL_TABLES
from firmware.v4l2.jpeg_walk import (
    CUT_SHORT,
    IMPOSSIBLE,
    LEFT_OVER,
    NO_CODE,
    NO_RESTART,
    ROW,
    TOO_LONG,
    WHOLE,
    BlockCoding,
    Bytes,
    Ints,
    UnitCount,
    prepared,
    walk,
)

Levels: TypeAlias = npt.NDArray[np.float64]

MOST_UNITS = 1 << 20
"""A picture of 65535x65535 would have 64 times as many: no capture device sends such."""
MOST_BLOCKS = 10
"""Blocks of one unit: ITU-T T.81, B.2.3."""

_WORDS = {
    NO_CODE: "a code that is in no table",
    TOO_LONG: "a block of more than 64 coefficients",
    CUT_SHORT: "data that end too early",
    LEFT_OVER: "more data than the picture has",
    NO_RESTART: "a restart marker that is missing or out of turn",
    IMPOSSIBLE: "a level that no picture has",
}


@dataclass(frozen=True, slots=True)
class JpegLook:
    """What a walk through a picture found.

    Attributes
    ----------
    head:
        What it says of itself.
    levels:
        Of each component the mean code of each unit against mid-scale, (rows, columns) of units;
        empty where the picture is of a kind that cannot be walked through.
    restart:
        UnitCount between restart markers, with which the sums of levels begin anew; 0 for none.
    """

    head: JpegHead
    levels: tuple[Levels, ...]
    restart: int = 0


def look_at(data: bytes) -> JpegLook:
    """Walk through a picture from its first byte to its last.

    Parameters
    ----------
    data:
        A JPEG picture from SOI to EOI, without what a driver fills up a buffer with.

    Raises
    ------
    JpegDamageError
        It is not whole; the sentence says what was met, and where.
    """
    head, at = JpegHead(), 0
    levels: dict[int, Levels] = {}
    restart = 0
    samples = np.frombuffer(data, np.uint8)
    while True:
        scan = read_until_scan(data, at, head)
        if scan is None:
            break
        if not head.is_walkable:
            return JpegLook(head, ())
        made, at = _walked(samples, scan, head)
        if levels.keys() & made.keys():
            raise JpegDamageError("a plane comes twice")
        levels |= made
        restart = scan.restart
    if not levels or len(levels) != len(head.components):
        raise JpegDamageError("a plane of the picture is missing")
    return JpegLook(head, tuple(levels[n] for n in sorted(levels)), restart)


@dataclass(frozen=True, slots=True)
class _Layout:
    """UnitCount of a scan, and for each component of it the blocks of a unit."""

    rows: int
    columns: int
    blocks: tuple[int, ...]


def _layout(scan: Scan, head: JpegHead) -> _Layout:
    """How a scan's units lie (ITU-T T.81, A.2)."""
    across = max(each.across for each in head.components)
    down = max(each.down for each in head.components)
    if len(scan.parts) == 1:
        part = head.components[scan.parts[0][0]]
        wide, high = 8 * across, 8 * down
        columns = -(-head.columns * part.across // wide)
        return _Layout(-(-head.rows * part.down // high), columns, (1,))
    blocks = [head.components[n].across * head.components[n].down for n, _, _ in scan.parts]
    if sum(blocks) > MOST_BLOCKS:
        raise JpegDamageError("a unit of more blocks than there may be")
    return _Layout(-(-head.rows // (8 * down)), -(-head.columns // (8 * across)), tuple(blocks))


def _walked(samples: Bytes, scan: Scan, head: JpegHead) -> tuple[dict[int, Levels], int]:
    """The levels of a scan's components, and where its data end."""
    layout = _layout(scan, head)
    units = layout.rows * layout.columns
    if units > MOST_UNITS:
        raise JpegDamageError(f"{units} units are more than a capture device sends")
    tables = np.empty((2 * len(scan.parts), ROW), np.int32)
    plan, at, steps = [], 0, []
    for n, (component, dc, ac) in enumerate(scan.parts):
        quantiser = head.quantisers.get(head.components[component].table)
        if quantiser is None:
            raise JpegDamageError("a quantisation table is missing")
        for kind, number in ((0, dc), (1, ac)):
            tables[2 * n + kind] = _table(scan, kind, number)
        # Means of 8 bits lie within 128 codes of mid-scale, times 8; rounding adds a step.
        most = -(-1024 // quantiser[0]) + 1
        count = layout.blocks[n]
        plan += [(component, 2 * n, 2 * n + 1, most, at + each, count) for each in range(count)]
        steps.append((component, at, count, quantiser[0]))
        at += units * count
    found = np.zeros(at, np.int32)
    coding, reader = BlockCoding(np.array(plan, np.int32), tables), np.array([scan.start, 0, 0, 0])
    end, unit = walk(samples, reader, UnitCount(units, scan.restart), coding, found)
    if end != WHOLE:
        raise JpegDamageError(f"{_WORDS[end]} at byte {reader[0]}, unit {unit} of {units}")
    shape = (layout.rows, layout.columns)
    return {
        component: found[first : first + units * blocks]
        .reshape(units, blocks)
        .mean(axis=1)
        .reshape(shape)
        * (step / 8.0)
        for component, first, blocks, step in steps
    }, int(reader[0])


def _table(scan: Scan, kind: int, number: int) -> Ints:
    # Streams of pictures may leave out the usual tables (the kernel's description of MJPEG).
    known = scan.huffman or USUAL_TABLES
    raw = known.get((kind, number))
    if raw is None:
        raise JpegDamageError("a Huffman table is missing")
    table = _prepared(raw)
    if table is None:
        raise JpegDamageError("a Huffman table whose codes cannot be")
    return table


@lru_cache(maxsize=16)
def _prepared(raw: bytes) -> Ints | None:
    return prepared(raw)
