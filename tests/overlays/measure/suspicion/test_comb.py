"""Combs of any factor are found in counts; counts without one are not called so."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.suspicion.comb import comb, teeth
from overlays.measure.suspicion.suspected import Sign
from overlays.signal.signal import Range, Signal

CODES = np.arange(256)
HILLS = 3000.0 + 2000.0 * np.sin(CODES / 23.0) + 500.0 * np.cos(CODES / 11.0)


def counts_through(factor, rng, dark=16, low=30, high=215):
    """Pixels by code of a smooth picture, levels made more by a factor in whole codes."""
    codes = np.repeat(CODES[low:high], rng.poisson(HILLS[low:high]))
    made = np.clip(np.rint(dark + (codes - dark) * factor), 0, 255).astype(int)
    return np.bincount(made, minlength=256).astype(np.float64)


@pytest.mark.parametrize("factor", [255.0 / 219.0, 1.08, 1.1, 219.0 / 255.0])
def test_levels_that_were_counted_anew_at_eight_bits_show_a_comb(factor):
    found = comb(counts_through(factor, np.random.default_rng(1)), 8, Signal(8))
    assert found is not None
    assert found.sign is Sign.COMB
    assert found.share > 0.8


@given(seed=st.integers(0, 10**6), low=st.integers(0, 100), high=st.integers(130, 255))
def test_levels_as_they_came_show_none(seed, low, high):
    counts = counts_through(1.0, np.random.default_rng(seed), low=low, high=high)
    assert comb(counts, 8, Signal(8)) is None


def test_a_range_that_is_known_to_be_counted_anew_is_not_suspected():
    counts = counts_through(255.0 / 219.0, np.random.default_rng(2))
    assert comb(counts, 8, Signal(8, Range.STRETCHED)) is None


def test_eight_bit_content_in_ten_bits_is_no_comb():
    """Three of four codes are empty: that is its depth, told elsewhere."""
    counts = np.zeros(1024)
    counts[::4] = HILLS
    assert comb(counts, 10, Signal(10)) is None


def test_as_many_codes_are_doubled_as_are_empty_the_other_way():
    doubled, empty = teeth(8)
    assert len(doubled) == len(empty) == 255 - 219
