"""The loops around a pile against plain NumPy."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.range import ceiling_kernels


def masked(seed, shape, share):
    return np.random.default_rng(seed).random(shape) < share


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 999),
    shape=st.tuples(st.integers(1, 14), st.integers(1, 17)),
    share=st.sampled_from([0.0, 0.02, 0.3, 0.9, 1.0]),
)
def test_steps_to_a_mask_are_those_of_a_king(seed, shape, share):
    inside = masked(seed, shape, share)
    away, core = np.empty(shape, np.uint8), np.empty(shape, np.uint8)
    ceiling_kernels.outline(inside.view(np.uint8), 5, away, core)
    at = np.argwhere(inside)
    for i, j in np.ndindex(shape):
        steps = np.abs(at - (i, j)).max(axis=1).min() if at.size else 6
        assert away[i, j] == min(steps, 6)
        around = inside[max(i - 1, 0) : i + 2, max(j - 1, 0) : j + 2]
        assert core[i, j] == around.all()


@pytest.mark.parametrize("seed", range(3))
def test_what_lies_around_and_beneath(seed):
    rng = np.random.default_rng(seed)
    tiles = rng.normal(600.0, 60.0, (30, 40)).astype(np.float32)
    across = rng.normal(0.0, 3.0, tiles.shape).astype(np.float32)
    inside = tiles > 680.0
    away, core = np.empty(tiles.shape, np.uint8), np.empty(tiles.shape, np.uint8)
    ceiling_kernels.outline(inside.view(np.uint8), 5, away, core)
    wide = np.pad(tiles, 1, mode="edge")
    steep = np.maximum(
        np.abs(wide[2:, 1:-1] - wide[:-2, 1:-1]), np.abs(wide[1:-1, 2:] - wide[1:-1, :-2])
    )
    held = np.pad(inside.astype(int), 1)
    beside = sum(
        held[1 + r : 31 + r, 1 + c : 41 + c]
        for r in (-1, 0, 1)
        for c in (-1, 0, 1)
        if (r, c) != (0, 0)
    )
    ring = (away <= 4) & (tiles < 680.0) & (beside < 5)
    around, met = ceiling_kernels.met_around(tiles, inside, away, (680.0, 600.0, 90.0), (4, 5))
    assert around == np.count_nonzero(ring)
    assert met.tolist() == tiles[ring & (tiles >= 600.0) & (steep <= 90.0)].tolist()
    noise, levels = ceiling_kernels.noise_beneath(tiles, across, away, (650.0, 90.0), 3)
    smooth = ((tiles < 650.0) & (away > 1) & (steep <= 90.0))[:, ::3]
    assert levels.tolist() == tiles[:, ::3][smooth].tolist()
    assert noise.tolist() == np.abs(across)[:, ::3][smooth].tolist()


def test_cells_that_a_mask_half_fills():
    tiles = np.arange(64.0, dtype=np.float32).reshape(8, 8)
    inside = np.zeros((8, 8), np.bool_)
    inside[:2, :4] = inside[4:, 4:] = True
    inside[0, 4:7] = True  # three of sixteen: too few
    means = ceiling_kernels.full_cells(tiles, inside, 4)
    assert means.tolist() == [tiles[:2, :4].mean(), tiles[4:, 4:].mean()]


def test_a_pile_settles_on_its_middle_whatever_lies_beneath():
    rng = np.random.default_rng(2)
    pile, ramp = rng.normal(700.0, 3.0, 4000), rng.uniform(400.0, 700.0, 4000)
    bright = np.sort(np.concatenate([pile, ramp]).astype(np.float32))
    level, deviation, held = ceiling_kernels.settled(bright, (704.0, 4.0), (0.5, 10.0, 12))
    assert level == pytest.approx(700.0, abs=0.5)
    assert deviation == pytest.approx(3.0, rel=0.1)
    assert 4000 < held < 4300
    assert ceiling_kernels.settled(bright, (900.0, 1.0), (0.5, 10.0, 12)) == (0.0, 0.0, 0)
