"""Counts of R', G', B' against exact integers in Python, over subsampling and odd widths."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.counting.kernels import flatten
from overlays.measure.counting.rgb_kernels import count_clipped, count_rgb


def planes_of(seed, rows, columns, sub):
    rng = np.random.default_rng(seed)
    chroma = (-(-rows // sub[0]), -(-columns // sub[1]))
    return [
        rng.integers(0, 256, shape).astype(np.uint8) for shape in ((rows, columns), chroma, chroma)
    ]


def levels_of(planes, sub, affine):
    rows, columns = planes[0].shape
    wide = [p.repeat(sub[0], 0).repeat(sub[1], 1)[:rows, :columns] for p in planes[1:]]
    samples = np.stack([planes[0], *wide, np.ones((rows, columns))], -1).astype(np.int64)
    return samples @ affine.T


@settings(max_examples=30, deadline=None)
@given(
    seed=st.integers(0, 99),
    rows=st.integers(2, 6),
    columns=st.integers(2, 9),
    sub=st.sampled_from([(1, 1), (1, 2), (2, 2)]),
    group=st.integers(1, 3),
)
def test_levels_and_clipping_are_exact(seed, rows, columns, sub, group):
    planes = planes_of(seed, rows, columns, sub)
    affine = np.random.default_rng(seed + 1).integers(-(2**33), 2**33, (3, 4))
    affine[:, 0] = 2**32
    exact = levels_of(planes, sub, affine)
    flats = tuple(flatten(p) for p in planes)
    shape = (rows, columns, *sub)
    assert count_clipped(flats, shape, affine) == tuple((exact >= 0).sum(axis=(0, 1)))
    out = np.zeros((3, -(-columns // group), 256), np.uint16)
    starts = (np.arange(columns) // group * 256).astype(np.uint64)
    count_rgb(flats, (rows, *sub), affine, starts, out.reshape(3, -1))
    index = np.clip(exact >> 32, 0, 255)
    for channel in range(3):
        for column in range(columns):
            for level in index[:, column, channel]:
                out[channel, column // group, level] -= 1
    assert not out.any()


@pytest.mark.parametrize("columns", [2, 3])
def test_an_odd_last_column_is_counted_once(columns):
    planes = planes_of(1, 4, columns, (1, 2))
    affine = np.zeros((3, 4), np.int64)
    shape = (4, columns, 1, 2)
    assert count_clipped(tuple(flatten(p) for p in planes), shape, affine) == (4 * columns,) * 3
