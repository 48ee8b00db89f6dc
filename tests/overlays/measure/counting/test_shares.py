"""Counts that several make are those of one, to the last of them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.counting import census as censuses
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.published import published_curve
from tests.crews import Backwards
from tests.overlays.measure.counting.test_census import ALL, LAYOUTS, frame_of

WIDE = censuses.MOST_COLUMNS


def counts(census):
    held = census.levels, census.chroma, census.rgb, census.clipped
    return [None if each is None else each.copy() for each in held]


def same(one, other):
    for a, b in zip(counts(one), counts(other), strict=True):
        if a is None:
            assert b is None
        else:
            np.testing.assert_array_equal(a, b)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(LAYOUTS),
    st.integers(2, 41),
    st.integers(2, 60),
    st.integers(2, 9),
    st.sampled_from([ALL, Wants.LEVELS, Wants.LEVELS | Wants.CHROMA, Wants.LEVELS | Wants.RGB]),
)
def test_whoever_counts_the_counts_are_the_same(layout, rows, columns, workers, wants):
    frame = frame_of(layout, rows, columns)
    yard = yardstick(frame.signal, published_curve("BT.709"), shift=frame.shift)
    same(take_census(frame, yard, wants), take_census(frame, yard, wants, crew=Backwards(workers)))


@pytest.mark.parametrize("workers", [2, 3])
@pytest.mark.parametrize("columns", [WIDE + 1, 2 * WIDE + 3])
def test_columns_that_share_counts_are_never_parted(workers, columns):
    frame = frame_of("UYVY", 6, columns)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    same(take_census(frame, yard, ALL), take_census(frame, yard, ALL, crew=Backwards(workers)))


def test_a_census_is_used_again_by_more_and_by_fewer():
    frames = [frame_of("UYVY", 20, 30, seed) for seed in range(4)]
    yard = yardstick(frames[0].signal, published_curve("BT.709"))
    census = None
    for frame, workers in zip(frames, (3, 1, 5, 2), strict=True):
        census = take_census(frame, yard, ALL, census, Backwards(workers))
        same(take_census(frame, yard, ALL), census)
    assert census.copy().others == []


def test_work_is_really_shared():
    crew, frame = Backwards(3), frame_of("UYVY", 20, 30)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    take_census(frame, yard, ALL, crew=crew)
    assert crew.shared == 12  # levels, chroma, R'G'B' and what is clipped, three times each
