"""The compiled loops against plain NumPy, bit for bit, over layouts, depths and odd sizes."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.counting import kernels
from overlays.signal.frame import packed_422


def random_plane(seed, rows, columns, dtype, step):
    rng = np.random.default_rng(seed)
    top = 256 if dtype == np.uint8 else 1024
    wide = rng.integers(0, top, (rows, columns * step)).astype(dtype)
    return wide[:, ::step]


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 99),
    rows=st.integers(2, 19),
    columns=st.integers(2, 13),
    wide=st.booleans(),
    step=st.integers(1, 4),
    group=st.integers(1, 3),
)
def test_levels_by_column(seed, rows, columns, wide, step, group):
    plane = random_plane(seed, rows, columns, np.uint16 if wide else np.uint8, step)
    levels = 1024 if wide else 256
    out = np.zeros((-(-columns // group), levels), np.uint16)
    starts = (np.arange(columns) // group * levels).astype(np.uint64)
    kernels.count_levels(kernels.flatten(plane), rows, starts, 0, levels, out.reshape(-1))
    expected = np.zeros_like(out)
    for column in range(columns):
        expected[column // group] += np.bincount(plane[:, column], minlength=levels).astype(
            np.uint16
        )
    np.testing.assert_array_equal(out, expected)


def test_a_stray_bit_in_the_buffer_stays_inside_the_count():
    plane = np.full((4, 4), 0xFFFF, np.uint16)
    out = np.zeros((4, 1024), np.uint16)
    starts = (np.arange(4) * 1024).astype(np.uint64)
    kernels.count_levels(kernels.flatten(plane), 4, starts, 0, 1024, out.reshape(-1))
    assert out[:, 1023].tolist() == [4, 4, 4, 4]


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 99), rows=st.integers(2, 9), columns=st.integers(2, 9))
def test_chroma_of_packed_422(seed, rows, columns):
    rng = np.random.default_rng(seed)
    pairs = (columns + 1) // 2
    _, cb, cr = packed_422(rng.integers(0, 256, rows * pairs * 4).astype(np.uint8), rows, columns)
    out = np.zeros(65536, np.uint32)
    kernels.count_chroma(kernels.flatten(cb), kernels.flatten(cr), rows, pairs, 0, out)
    expected = np.bincount((cb.astype(int) << 8 | cr).ravel(), minlength=65536)
    np.testing.assert_array_equal(out, expected)


def test_flatten_is_a_view():
    plane = random_plane(1, 6, 5, np.uint16, 3)
    flat = kernels.flatten(plane)
    assert np.shares_memory(flat.buffer, plane)
    assert flat.buffer[2 * flat.row + 4 * flat.column] == plane[2, 4]
