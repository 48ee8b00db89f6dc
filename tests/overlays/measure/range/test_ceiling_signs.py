"""Each sign of a ceiling by itself, on tiles made for it."""

import numpy as np
import pytest

from overlays.measure.range.ceiling_signs import is_flat, outline_of, runs_up

LEVEL = 700.0


def noisy(tiles, sd, seed=1):
    return (tiles + np.random.default_rng(seed).normal(0.0, sd, tiles.shape)).astype(np.float32)


def inside(tiles, deviation):
    return np.abs(tiles - LEVEL) <= 3.0 * deviation


def disc(edge, rows=120, columns=160):
    """Level by the distance from the middle: `edge` tells how it falls outside 30 tiles."""
    y, x = np.mgrid[:rows, :columns]
    away = np.hypot(y - rows / 2, x - columns / 2) - 30.0
    return np.where(away < 0.0, LEVEL, edge(np.maximum(away, 0.0)))


@pytest.mark.parametrize("sd", [0.5, 2.0, 5.0])
@pytest.mark.parametrize("slope", [2.0, 10.0, 60.0])
def test_light_that_falls_off_runs_up_to_its_ceiling(slope, sd):
    tiles = noisy(disc(lambda away: np.maximum(LEVEL - slope * away, 100.0)), sd)
    assert runs_up(tiles, outline_of(inside(tiles, sd)), LEVEL, sd)


@pytest.mark.parametrize("sd", [0.5, 2.0, 5.0])
@pytest.mark.parametrize("blur", [0.3, 1.0])
def test_an_edge_does_not(blur, sd):
    tiles = noisy(disc(lambda away: 400.0 + 300.0 * np.exp(-((away / blur) ** 2))), sd)
    assert not runs_up(tiles, outline_of(inside(tiles, sd)), LEVEL, sd)


def test_the_last_step_of_a_wedge_does_not():
    tiles = noisy(disc(lambda away: LEVEL - 25.0 * np.ceil(away / 20.0)), 0.5)
    assert not runs_up(tiles, outline_of(inside(tiles, 0.5)), LEVEL, 0.5)


@pytest.mark.parametrize("sd", [0.5, 3.0, 8.0])
def test_noise_on_one_level_is_flat_and_a_fading_sky_is_not(sd):
    even = noisy(np.full((120, 160), LEVEL), sd)
    assert is_flat(even, inside(even, sd), sd, 0.5)
    fading = noisy(LEVEL + np.linspace(-15.0, 15.0, 160) + np.zeros((120, 1)), sd)
    spread = float(np.hypot(sd, 8.7))
    assert not is_flat(fading, inside(fading, spread), spread, 0.5)


def test_a_small_pile_is_judged_by_neighbours():
    tiles = np.full((40, 40), 300.0)
    tiles[5:11, 5:11] = LEVEL
    even = noisy(tiles, 2.0)
    assert is_flat(even, inside(even, 2.0), 2.0, 0.5)
    tiles[5:11, 5:11] = LEVEL + np.linspace(-12.0, 12.0, 6)[:, None]
    fading = noisy(tiles, 0.2)
    assert not is_flat(fading, inside(fading, 8.0), 8.0, 0.5)
    assert not is_flat(fading, np.zeros((40, 40), np.bool_), 8.0, 0.5)


@pytest.mark.parametrize(("times", "flat"), [(1.0, True), (1.6, True), (2.6, False)])
def test_a_small_pile_may_differ_by_twice_what_its_neighbours_do(times, flat):
    """More is light that fades within it: were that called flat, it would pass for a ceiling."""
    tiles = np.full((40, 40), 300.0)
    tiles[5:17, 5:25] = LEVEL
    even = noisy(tiles, 2.0)
    assert is_flat(even, inside(even, 2.0), times * 2.0, 0.5) is flat
