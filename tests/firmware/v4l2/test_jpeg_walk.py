import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.v4l2.jpeg_tables import USUAL_TABLES
from firmware.v4l2.jpeg_walk import (
    CUT_SHORT,
    IMPOSSIBLE,
    LEFT_OVER,
    NO_CODE,
    NO_RESTART,
    ROW,
    WHOLE,
    BlockCoding,
    UnitCount,
    prepared,
    walk,
)


def gradient(rows=64, columns=96):
    """A picture with something in every block."""
    row, column = np.mgrid[0:rows, 0:columns]
    shades = [row * 3 + column, 255 - column * 2, row * 2 + 17 * (column % 9)]
    return np.stack(shades, axis=2).clip(0, 255).astype(np.uint8)


def walked(data, units=1, restart=0, most=2047):
    """A plane of the usual luma tables."""
    tables = np.stack([prepared(USUAL_TABLES[0, 0]), prepared(USUAL_TABLES[1, 0])])
    plan = np.array([[0, 0, 1, most, 0, 1]], np.int32)
    levels = np.zeros(units, np.int32)
    reader = np.zeros(4, np.int64)
    samples = np.frombuffer(bytes(data), np.uint8)
    end, unit = walk(samples, reader, UnitCount(units, restart), BlockCoding(plan, tables), levels)
    return end, unit, levels.tolist()


def bits(*words, fill="1"):
    """Bits as bytes, filled up; FF is followed by a zero (ITU-T T.81, B.1.1.5)."""
    text = "".join(words)
    text += fill * (-len(text) % 8)
    data = int(text, 2).to_bytes(len(text) // 8, "big")
    return data.replace(b"\xff", b"\xff\0")


# ITU-T T.81, Tables K.3 and K.5: DC of size 0 is 00, of size 3 is 100; end of block is 1010.
ZERO, EOB = "00", "1010"
FIVE, MINUS_SEVEN = "100" + "101", "100" + "000"


@pytest.mark.parametrize(
    ("data", "units", "end", "levels"),
    [
        (bits(FIVE, EOB) + b"\xff\xd9", 1, WHOLE, [5]),
        (bits(FIVE, EOB, MINUS_SEVEN, EOB, ZERO, EOB) + b"\xff\xd9", 3, WHOLE, [5, -2, -2]),
        (bits(FIVE, EOB, MINUS_SEVEN, EOB) + b"\xff\xd9", 3, CUT_SHORT, [5, -2]),
        (bits(FIVE, EOB, MINUS_SEVEN, EOB) + b"\xff\xd9", 1, LEFT_OVER, [5]),
        (bits(FIVE, "1" * 16) + b"\xff\xd9", 1, NO_CODE, [5]),
        (bits(FIVE, EOB) + b"\xff\xff\xff\xd9", 1, WHOLE, [5]),
    ],
)
def test_ends_of_a_walk(data, units, end, levels):
    got = walked(data, units)
    assert (got[0], got[2][: len(levels)]) == (end, levels)


def test_levels_beyond_any_picture_and_restarts():
    assert walked(bits(FIVE, EOB) + b"\xff\xd9", most=4)[0] == IMPOSSIBLE
    one = bits(FIVE, EOB)
    assert walked(one + b"\xff\xd0" + one + b"\xff\xd9", 2, 1) == (WHOLE, 2, [5, 5])
    assert walked(one + b"\xff\xd1" + one + b"\xff\xd9", 2, 1)[0] == NO_RESTART
    assert walked(one + one + b"\xff\xd9", 2, 1)[0] in {NO_RESTART, LEFT_OVER}


def test_more_coefficients_than_a_block_has_are_seen():
    run_of_15 = "11111111001"  # ITU-T T.81, Table K.5: sixteen zeros
    data = bits(FIVE, run_of_15 * 4, "00" + "1", EOB) + b"\xff\xd9"
    assert walked(data)[0] not in {WHOLE, LEFT_OVER}


def test_codes_that_overflow_their_length_make_no_table():
    assert prepared(bytes([3] + [0] * 15) + b"abc") is None
    assert prepared(USUAL_TABLES[0, 1]).shape == (ROW,)


@given(st.binary(max_size=200), st.integers(1, 40), st.integers(0, 5))
def test_any_bytes_come_to_an_end_within_their_units(data, units, restart):
    end, unit, _ = walked(data, units, restart)
    assert WHOLE <= end <= IMPOSSIBLE
    assert 0 <= unit <= units
