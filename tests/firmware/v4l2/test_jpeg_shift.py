import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.v4l2.jpeg_shift import shift_of

ROWS, COLUMNS = 20, 40
LOW_AT_THE_SIDE = np.outer(np.arange(ROWS) // 2 == 6, np.arange(COLUMNS) >= 25)


def scene(seed=0):
    return np.random.default_rng(seed).normal(0.0, 30.0, (ROWS, COLUMNS))


def shifted(levels, place, step, end=None):
    flat = levels.ravel().copy()
    flat[place:end] += step
    return flat.reshape(levels.shape)


@given(st.integers(3, ROWS - 3), st.integers(4, COLUMNS - 8), st.sampled_from([-60, -4, 3, 25, 90]))
def test_a_step_from_the_middle_of_a_row_to_the_end_is_found(row, column, step):
    before = scene()
    noise = np.random.default_rng(1).normal(0.0, 0.2, before.shape)
    got = shift_of(shifted(before + noise, row * COLUMNS + column, step), before, 0)
    assert got == pytest.approx(step, abs=0.5)


def test_a_step_is_told_from_what_the_light_did_meanwhile():
    before = scene()
    damaged = shifted(before + 5.0, 8 * COLUMNS + 20, 20.0)
    assert shift_of(damaged, before, 0) == pytest.approx(20.0)


def test_a_step_to_the_next_restart_is_found():
    before = scene()
    place = 7 * COLUMNS + 11
    damaged = shifted(before, place, 9.0, 8 * COLUMNS)
    assert shift_of(damaged, before, COLUMNS) == pytest.approx(9.0)


@pytest.mark.parametrize(
    "change",
    [
        lambda levels: levels,
        lambda levels: levels + 12.0,  # the iris
        lambda levels: levels * 1.3,
        lambda levels: shifted(levels, 9 * COLUMNS, 40.0),  # a flash that begins at a row
        lambda levels: shifted(levels, 9 * COLUMNS, 40.0, 14 * COLUMNS),
        lambda _: scene(3),  # a cut
        lambda levels: np.roll(levels, 1, axis=1),  # a pan
        lambda levels: np.roll(levels, 3, axis=0),
        lambda levels: np.where(np.arange(COLUMNS) < 17, levels, levels + 30.0),  # a door
        lambda levels: levels + 30.0 * LOW_AT_THE_SIDE,  # a cart that comes in
    ],
)
@pytest.mark.parametrize("restart", [0, COLUMNS, 7])
def test_what_a_lens_sees_is_no_damage(change, restart):
    before = scene()
    assert shift_of(change(before), before, restart) is None


def test_a_flash_that_begins_within_a_row_of_units_is_no_damage():
    before = scene()
    lit = shifted(before, 10 * COLUMNS, 40.0)
    lit[9] += 17.0
    assert shift_of(lit, before, 0) is None


def test_pictures_of_other_sizes_and_small_ones_say_nothing():
    assert shift_of(np.zeros((2, 2)), np.zeros((2, 2)), 0) is None
    assert shift_of(np.zeros((8, 9)), np.zeros((9, 8)), 0) is None
