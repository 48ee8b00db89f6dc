"""Tiles against plain NumPy over subsampling, block sizes and components."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.counting.kernels import flatten
from overlays.measure.range import area_counts


def expected(planes, sub, edge, matrix, is_rgb):
    """(levels of every block, levels of every block's lowest samples), (4, rows, columns)."""
    rows, columns = planes[0].shape
    wide = [p.repeat(sub[0], 0).repeat(sub[1], 1)[:rows, :columns] for p in planes[1:]]
    pixels = np.stack([planes[0], *wide]).astype(float)
    n, m = rows // (2 * edge) * 2, columns // (2 * edge) * 2
    blocks = pixels[:, : n * edge, : m * edge].reshape(3, n, edge, m, edge)
    mean, low = blocks.mean(axis=(2, 4)), blocks.min(axis=(2, 4))
    if not is_rgb:
        low[1:] = mean[1:]
    return [
        np.einsum("ks,sij->kij", matrix[:, :3], v) + matrix[:, 3, None, None] for v in (mean, low)
    ]


def by_tile(blocks):
    k, n, m = blocks.shape
    return (
        blocks.reshape(k, n // 2, 2, m // 2, 2)
        .transpose(0, 1, 3, 2, 4)
        .reshape(k, n // 2, m // 2, 4)
    )


@settings(max_examples=30, deadline=None)
@given(
    seed=st.integers(0, 99),
    size=st.tuples(st.integers(12, 30), st.integers(12, 30)),
    sub=st.sampled_from([(1, 1), (1, 2), (2, 2)]),
    edge=st.sampled_from([1, 2, 4, 6]),
    is_rgb=st.booleans(),
)
def test_tiles_are_those_of_plain_numpy(seed, size, sub, edge, is_rgb):
    sub = (1, 1) if is_rgb else sub
    rng = np.random.default_rng(seed)
    chroma = (-(-size[0] // sub[0]), -(-size[1] // sub[1]))
    planes = [rng.integers(0, 256, s).astype(np.uint8) for s in (size, chroma, chroma)]
    matrix = rng.normal(0.0, 2.0, (4, 4))
    if is_rgb:
        matrix[:3, :3] = np.diag([3.0, 2.0, 4.0])
    matrix[:, 0] = np.abs(matrix[:, 0])  # luma raises every channel
    rows, columns = size[0] // (2 * edge), size[1] // (2 * edge)
    out = [np.empty((k, rows, columns), np.float32) for k in (4, 4, 3)]
    flats = tuple(flatten(p) for p in planes)
    shape, affine = (columns, edge, *sub), (matrix, is_rgb)
    area_counts.look_at_areas(flats, (0, rows), shape, affine, tuple(out))
    mean, low = expected(planes, sub, edge, matrix, is_rgb)
    four = np.sort(by_tile(mean), axis=-1)
    np.testing.assert_allclose(out[0], four[..., 1:3].mean(axis=-1), atol=1e-2)
    a, b, c, d = np.moveaxis(by_tile(mean), -1, 0)
    np.testing.assert_allclose(out[1], a - b - c + d, atol=1e-2)
    np.testing.assert_allclose(out[2], by_tile(low)[:3].max(axis=-1), atol=1e-2)


def test_the_fullest_channel_of_each_tile():
    tiles = np.array([[[2.4, 0.0]], [[1.0, 3.0]], [[0.0, -5.0]]], np.float32)
    by_level = np.array([[0.0, 1.0, 2.0, 3.0], [0.0, 10.0, 20.0, 30.0], [-1.0, 0.0, 0.0, 99.0]])
    out = np.empty((1, 2), np.float32)
    area_counts.fullest(tiles, by_level, out)
    assert out.tolist() == [[10.0, 30.0]]


@pytest.mark.parametrize("seed", range(4))
def test_squares_are_the_largest_that_fit(seed):
    values = (np.random.default_rng(seed).random((9, 11)) < 0.8).astype(np.float32)
    out = np.empty(values.shape, np.int32)
    area_counts.squares(values, 1.0, out)
    for i, j in np.ndindex(values.shape):
        fits = [
            n for n in range(1, min(i, j) + 2) if values[i - n + 1 : i + 1, j - n + 1 : j + 1].all()
        ]
        assert out[i, j] == max(fits, default=0)


def test_values_are_counted_by_bin_and_held_at_the_ends():
    counts = np.zeros(4, np.int64)
    area_counts.spread_over(np.array([[-9.0, 0.0, 0.9, 1.0, 99.0]], np.float32), 0.0, 2.0, counts)
    assert counts.tolist() == [2, 1, 1, 1]
