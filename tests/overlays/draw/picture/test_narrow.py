import numba as nb
import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.draw.picture import narrow

SHORT = st.integers(-32768, 32767)


@nb.njit
def run(which, a, b):  # noqa: PLR0911 - one line for each
    a, b = np.int16(a), np.int16(b)
    if which == 0:
        return narrow.add(a, b)
    if which == 1:
        return narrow.subtract(a, b)
    if which == 2:
        return narrow.multiply(a, b)
    if which == 3:
        return narrow.multiply_high(a, b)
    if which == 4:
        return narrow.shift_left(a, b)
    if which == 5:
        return narrow.shift_right(a, b)
    if which == 6:
        return narrow.smaller(a, b)
    return narrow.larger(a, b)


def wrapped(number):
    return (number + 32768) % 65536 - 32768


@settings(deadline=None)  # the first call compiles
@given(SHORT, SHORT)
def test_arithmetic_is_that_of_16_bits(a, b):
    results = [run(which, a, b) for which in (0, 1, 2, 3, 6, 7)]
    products = [wrapped(a + b), wrapped(a - b), wrapped(a * b), (a * b) >> 16]
    assert results == [*products, min(a, b), max(a, b)]


@settings(deadline=None)  # the first call compiles
@given(SHORT, st.integers(0, 15))
def test_shifts(a, count):
    assert run(4, a, count) == wrapped(a << count)
    assert run(5, a, count) == a >> count


@nb.njit
def held(a, low, high):
    return narrow.bounded(np.int16(a), np.int16(low), np.int16(high))


@settings(deadline=None)  # the first call compiles
@given(SHORT, SHORT, SHORT)
def test_bounds(a, low, high):
    low, high = sorted((low, high))
    assert held(a, low, high) == min(max(a, low), high)


@nb.njit
def packed(r, g, b):
    return narrow.pixel(np.int16(r), np.int16(g), np.int16(b))


def test_a_pixel_is_red_green_blue():
    assert packed(0x12, 0xF4, 0xD6) == 0x12F4D6


@nb.njit
def lane_of(words, shift, mask):
    return narrow.lane(words[0], np.int16(shift), np.int16(mask))


def test_a_lane_of_each_word_size():
    assert lane_of(np.array([0xA5], np.uint8), 2, 0xFF) == 0x29
    assert lane_of(np.array([0xA5C3], np.uint16), 8, 0xFF) == 0xA5
    assert lane_of(np.array([0xFFC0], np.uint16), 6, 0x3FF) == 0x3FF
    assert lane_of(np.array([0xA5C3F012], np.uint32), 24, 0xFF) == 0xA5
    assert lane_of(np.array([0xA5C3F012], np.uint32), 16 + 6, 0x3FF) == 0xA5C3 >> 6
