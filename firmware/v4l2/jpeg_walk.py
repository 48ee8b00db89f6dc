"""Walks through the entropy-coded data of a JPEG picture without making samples of them.

A decoder makes a picture of nearly any bytes. What tells damage is the way through the data: every
code has to be in its table, every block to end within its 64 coefficients, every unit to be there,
and after the last one nothing may be left but the bits that fill up a byte (ITU-T T.81, F.2.2 and
B.1.1.5). Private, unchecked: `firmware.v4l2.jpeg_check` prepares what is given here.
"""

from typing import NamedTuple, TypeAlias

import numba as nb
import numpy as np
import numpy.typing as npt

Ints: TypeAlias = npt.NDArray[np.int32]
Bytes: TypeAlias = npt.NDArray[np.uint8]
Reader: TypeAlias = npt.NDArray[np.int64]


class UnitCount(NamedTuple):
    """Minimum coded units of a scan, and between restart markers (0 for none)."""

    total: int
    restart: int


class BlockCoding(NamedTuple):
    """What the blocks of a unit are coded with.

    Attributes
    ----------
    plan:
        (blocks, 6): component, row of the DC and of the AC table, greatest size of a level, where
        its level of the first unit goes, and how far on that of the next.
    tables:
        (n, ROW): prepared Huffman tables.
    """

    plan: Ints
    tables: Ints


FAST_BITS = 10
"""Codes up to this length are looked up at once; longer ones, which are rare, bit by bit."""
ROW = (1 << FAST_BITS) + 3 * 18 + 256
"""Numbers of one prepared table: fast, then last code, first code and first symbol of each
length, then the symbols."""
_LAST, _FIRST, _AT = 1 << FAST_BITS, (1 << FAST_BITS) + 18, (1 << FAST_BITS) + 36
_SYMBOLS = (1 << FAST_BITS) + 54

WHOLE, NO_CODE, TOO_LONG, CUT_SHORT, LEFT_OVER, NO_RESTART, IMPOSSIBLE = range(7)
"""What a walk ends with: all is there; a code that is in no table; a block of more than 64
coefficients; data that end too early, or too late; a restart marker that is not there or not the
next; a level no picture has."""
NO_LEVEL = 1 << 40
"""In the place of a level that cannot be read."""
AT, ACC, LEFT, OVER = range(4)
"""Of a reader: the next byte, bits taken in, how many of them are left, how many are made up."""
_DC_BITS, _AC_BITS = 11, 10
"""Longest numbers of 8-bit pictures: ITU-T T.81, Tables F.1 and F.2."""


def prepared(table: bytes) -> Ints | None:
    """A Huffman table for the walk: (ROW,) int32; None where its codes cannot be.

    Parameters
    ----------
    table:
        Sixteen counts of codes by length, then the symbols (ITU-T T.81, annex C).
    """
    out = np.zeros(ROW, np.int32)
    out[_LAST : _LAST + 18] = -1
    code = taken = 0
    for length in range(1, 17):
        count = table[length - 1]
        out[_FIRST + length], out[_AT + length] = code, taken
        if count:
            if code + count > 1 << length:
                return None
            out[_LAST + length] = code + count - 1
        for symbol in table[16 + taken : 16 + taken + count]:
            if length <= FAST_BITS:
                spare = FAST_BITS - length
                out[code << spare : (code + 1) << spare] = length << 8 | symbol
            code += 1
        taken += count
        code <<= 1
    out[_SYMBOLS : _SYMBOLS + taken] = np.frombuffer(table[16 : 16 + taken], np.uint8)
    return out


@nb.njit(cache=True, nogil=True)
def _symbol(row: Ints, acc: int, left: int) -> int:
    """Length and symbol of the code that the next bits are; 0 where they are none."""
    found = row[(acc >> (left - FAST_BITS)) & ((1 << FAST_BITS) - 1)]
    if found:
        return int(found)
    for length in range(FAST_BITS + 1, 17):
        code = (acc >> (left - length)) & ((1 << length) - 1)
        if code <= row[_LAST + length] and code >= row[_FIRST + length]:
            symbol = row[_SYMBOLS + row[_AT + length] + code - row[_FIRST + length]]
            return length << 8 | int(symbol)
    return 0


@nb.njit(cache=True, nogil=True)
def _refill(data: Bytes, at: int, acc: int, left: int) -> tuple[int, int, int, int]:
    """Take in bytes until there are more than 32 bits; zeros, which are counted, at a marker."""
    made_up, size = 0, data.size
    while left <= 32:
        byte = 0
        if at < size - 1 and not (data[at] == 0xFF and data[at + 1] != 0):
            byte = int(data[at])
            at += 2 if byte == 0xFF else 1  # a zero is stuffed behind FF: B.1.1.5
        else:
            made_up += 8
        acc = ((acc << 8) | byte) & 0xFFFFFFFFFFFF
        left += 8
    return at, acc, left, made_up


@nb.njit(cache=True, nogil=True)
def _level(data: Bytes, reader: Reader, row: Ints, before: int) -> int:
    """The DC level that comes next; `NO_LEVEL` where none does."""
    reader[AT], reader[ACC], reader[LEFT], more = _refill(
        data, reader[AT], reader[ACC], reader[LEFT]
    )
    reader[OVER] += more
    acc, left = reader[ACC], reader[LEFT]
    found = _symbol(row, acc, left)
    bits = found & 0xFF
    if found == 0 or bits > _DC_BITS:
        return NO_LEVEL
    left -= (found >> 8) + bits
    change = (acc >> left) & ((1 << bits) - 1)
    if bits and change < 1 << (bits - 1):
        change -= (1 << bits) - 1
    reader[LEFT] = left
    return int(before + change)


@nb.njit(cache=True, nogil=True)
def _pass_over(data: Bytes, reader: Reader, row: Ints) -> int:
    """Go over the other 63 coefficients of a block."""
    at, acc, left, over = reader[AT], reader[ACC], reader[LEFT], reader[OVER]
    k = 1
    while k < 64:
        at, acc, left, more = _refill(data, at, acc, left)
        over += more
        found = _symbol(row, acc, left)
        run, bits = (found & 0xFF) >> 4, found & 15
        if found == 0 or bits > _AC_BITS or (bits == 0 and 0 < run < 15):
            return CUT_SHORT if left <= over else NO_CODE
        left -= (found >> 8) + bits
        if bits == 0 and run == 0:
            break
        k += run + 1
    reader[AT], reader[ACC], reader[LEFT], reader[OVER] = at, acc, left, over
    if left < over:
        return CUT_SHORT
    return TOO_LONG if k > 64 else WHOLE


@nb.njit(cache=True, nogil=True)
def _to_marker(data: Bytes, reader: Reader) -> int:
    """Go on to the marker that ends an interval: less than a byte of data may be left."""
    at, size = reader[AT], data.size
    rest = reader[LEFT] - reader[OVER]
    if not reader[OVER]:
        while rest < 8 and at < size - 1 and (data[at] != 0xFF or data[at + 1] == 0):
            rest += 8
            at += 2 if data[at] == 0xFF else 1
    while at < size - 1 and data[at] == 0xFF and data[at + 1] == 0xFF:
        at += 1
    reader[AT], reader[ACC], reader[LEFT], reader[OVER] = at, 0, 0, 0
    return LEFT_OVER if rest >= 8 else WHOLE


@nb.njit(cache=True, nogil=True)
def walk(
    data: Bytes, reader: Reader, units: UnitCount, coding: BlockCoding, levels: Ints
) -> tuple[int, int]:
    """Go through the data of a scan.

    Parameters
    ----------
    data:
        All bytes of the picture.
    reader:
        (4,): where the scan's data begin, then zeros. Is moved on.
    units:
        How many the scan has, and restart markers between them.
    coding:
        What its blocks are coded with.
    levels:
        Is filled with the DC level of each block.

    Returns
    -------
    (end, unit)
        How it ended (`WHOLE` …), and with which unit.
    """
    before = np.zeros(4, np.int64)
    plan, marks = coding.plan, 0
    for unit in range(units.total):
        if units.restart > 0 and unit > 0 and unit % units.restart == 0:
            end, at = _to_marker(data, reader), reader[AT]
            if end != WHOLE:
                return end, unit
            if at >= data.size - 1 or data[at] != 0xFF or data[at + 1] != 0xD0 + marks % 8:
                return NO_RESTART, unit
            marks, reader[AT] = marks + 1, at + 2
            before[:] = 0
        for block in range(plan.shape[0]):
            place = plan[block]
            level = _level(data, reader, coding.tables[place[1]], before[place[0]])
            if level == NO_LEVEL:
                return NO_CODE if reader[LEFT] >= reader[OVER] else CUT_SHORT, unit
            before[place[0]] = levels[place[4] + unit * place[5]] = level
            end = _pass_over(data, reader, coding.tables[place[2]])
            if end == WHOLE and abs(level) > place[3]:
                end = IMPOSSIBLE
            if end != WHOLE:
                return end, unit
    return _to_marker(data, reader), units.total
