"""What a codec does to a mean, against a quantiser whose step is known."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.spot.quantiser import (
    DITHERED,
    TOLD,
    USUAL_STEP,
    Left,
    codec_bound,
    dithered_share,
    is_told,
    left_by_codec,
    step_beside,
)


def quantised(picture, step, edge=8):
    """A picture whose square blocks' coefficients were rounded to steps, and it to codes.

    They are those of the orthonormal DCT-II (Ahmed, Natarajan & Rao, 1974).
    """
    k = np.arange(edge)
    dct = np.sqrt(np.where(k == 0, 1.0, 2.0) / edge)[:, None] * np.cos(
        np.pi * (2 * k[None, :] + 1) * k[:, None] / (2 * edge)
    )
    rows, columns = picture.shape
    blocks = picture.reshape(rows // edge, edge, columns // edge, edge).swapaxes(1, 2)
    coefficients = np.rint(dct @ blocks @ dct.T / step) * step
    back = dct.T @ coefficients @ dct
    return np.rint(back.swapaxes(1, 2).reshape(rows, columns)).astype(np.int64)


def noisy(sigma, seed, edge=96):
    return 500.0 + np.random.default_rng(seed).normal(0.0, sigma, (edge, edge))


@pytest.mark.parametrize("step", [10.0, 20.0, 40.0])
def test_the_step_is_seen_where_single_coefficients_survive(step):
    left = left_by_codec(quantised(noisy(0.25 * step, 1), step))
    assert left.step == pytest.approx(step, rel=0.15)
    assert left.share > TOLD


def test_noise_that_came_through_whole_shows_its_own_deviation():
    left = left_by_codec(np.rint(noisy(6.0, 2)).astype(np.int64))
    assert left.step == pytest.approx(8.0 * math.sqrt(2.0 / 63.0) * 6.0, rel=0.2)
    assert left.within == pytest.approx(36.0, rel=0.1)


def test_where_nothing_was_left_the_usual_step_stands_and_grows_with_the_depth():
    nothing = left_by_codec(np.full((24, 24), 500))
    assert (nothing.step, nothing.share, nothing.within) == (0.0, 0.0, 0.0)
    eight, ten = (codec_bound(nothing, 256, 1.0, scale) for scale in (1.0, 4.0))
    assert eight == pytest.approx(USUAL_STEP / 32.0)
    assert ten == pytest.approx(4.0 * eight)
    assert codec_bound(nothing, 14400, 1.0, 4.0) == pytest.approx(0.5 * ten)


def test_a_few_tiles_that_vary_do_not_dither_the_rest():
    luma = np.full((96, 96), 500)
    luma[:8, :8] += np.random.default_rng(3).integers(-2, 3, (8, 8))
    left = left_by_codec(luma)
    assert dithered_share(left, left.within) == pytest.approx(left.share / TOLD)
    apart = np.full((96, 96), 500) + np.random.default_rng(4).integers(0, 2, (12, 12)).repeat(
        8, 0
    ).repeat(8, 1)
    assert dithered_share(left_by_codec(apart), float(apart.var())) == 1.0


@given(
    st.floats(0.0, 1000.0),
    st.floats(0.0, 1.0),
    st.floats(0.0, 1e6),
    st.integers(1, 100_000),
    st.floats(1.0, 1e4),
)
def test_the_bound_is_finite_and_never_more_than_the_coarsest_step(
    step, share, within, samples, together
):
    bound = codec_bound(Left(step, share, within), samples, together, 1.0)
    assert 0.0 <= bound <= 4.0 * USUAL_STEP / 16.0


def test_correlated_noise_is_not_taken_for_a_coarse_quantiser():
    noise = np.random.default_rng(5).normal(0.0, 6.0, (97, 97))
    pairs = 500.0 + 0.5 * (noise[1:, 1:] + noise[1:, :-1] + noise[:-1, 1:] + noise[:-1, :-1])
    left = left_by_codec(np.rint(pairs).astype(np.int64))
    # The sum of its correlations is 4, and that of their squares 2.25.
    assert codec_bound(left, 2304, 4.0, 4.0) < 0.8 * codec_bound(left, 2304, 1.0, 4.0)


def test_blocks_larger_than_the_tiles_are_seen_by_larger_tiles():
    # As H.265 has them: 2.25 blocks in a spot, so that their roundings hardly average out.
    step, inside = 20.0, (slice(24, 72), slice(24, 72))
    off, bounds = [], []
    for seed in range(60):
        rng = np.random.default_rng(seed)
        picture = rng.uniform(400.0, 500.0) + rng.normal(0.0, 0.16 * step, (96, 96))
        sent = quantised(picture, step, 32)
        off.append(abs(float(sent[inside].mean() - picture[inside].mean())))
        bounds.append(codec_bound(left_by_codec(sent), 48 * 48, 1.0, 4.0))
    assert np.mean(np.array(off) <= np.array(bounds)) >= 0.9
    assert np.median(bounds) <= 2.0 * np.quantile(off, 0.95)


def test_few_tiles_leave_more_open():
    many, few = (Left(8.0, 1.0, 1.0, tiles) for tiles in (100, 9))
    # Student's t of 8 and 99 degrees of freedom: 2.306 and 1.984 (any table).
    widened = codec_bound(few, 256, 1.0, 4.0) / codec_bound(many, 256, 1.0, 4.0)
    assert widened == pytest.approx(2.306 / 1.984, rel=0.01)


def test_the_usual_step_is_that_of_the_quantiser_parameter_18():
    """H.264 and H.265 double the step every 6; at the parameter 4 it is 1 (from memory)."""
    assert pytest.approx(2.0 ** ((18 - 4) / 6), rel=0.001) == USUAL_STEP


@pytest.mark.parametrize("step", [40.0, 60.0])
def test_the_step_beside_a_spot_is_found_from_the_largest_blocks(step):
    seen = step_beside(quantised(noisy(0.17 * step, 5, 256), step, 32), 4.0)
    assert 0.8 * step < seen < 1.6 * step


def test_detail_of_the_picture_is_no_quiet_tile():
    detail = np.rint(noisy(40.0, 6)).astype(np.int64)  # more than the coarsest codec leaves
    assert step_beside(detail, 4.0) == 0.0
    assert step_beside(np.full((8, 16), 500), 4.0) == 0.0  # too few tiles


def test_a_flat_spot_among_ripples_is_bounded_as_a_flat_and_by_what_is_beside_it():
    alone = Left(step=8.0, share=0.6, within=0.3, tiles=9)
    ripples = Left(step=8.0, share=0.6, within=0.3, tiles=9, beside=1.0)
    assert is_told(alone, 0.0)  # nobody looked beside it
    assert is_told(ripples, DITHERED**2)
    assert not is_told(ripples, 0.9 * DITHERED**2)
    told, flat = (codec_bound(ripples, 256, 1.0, 4.0, noise) for noise in (1.0, 0.0))
    assert flat == pytest.approx(0.5 * 4.0 * USUAL_STEP / 16.0) != told
    beside = Left(step=8.0, share=0.6, within=0.3, tiles=9, beside=60.0)
    assert codec_bound(beside, 256, 1.0, 4.0, 0.0) == pytest.approx(0.5 * 60.0 / 16.0)
    assert codec_bound(beside, 256, 1.0, 4.0, 1.0) == told


def test_noise_that_came_through_whole_dithers_the_means_of_blocks_as_well():
    """Means of 16 x 16 in steps of D / 16, with the noise of a mean: by making them."""
    rng, sigma, step = np.random.default_rng(6), 2.0, 2.7  # 1.35 deviations; whole noise shows 1.43
    worst = 0.0
    for level in np.linspace(500.0, 500.0 + step / 16.0, 9):
        means = level + rng.normal(0.0, sigma / 16.0, 20_000)
        sent = np.rint(means * 16.0 / step) * step / 16.0
        worst = max(worst, abs(float(sent.mean()) - level))
    assert worst < 0.03 * step / 16.0  # half a step, if nothing dithered it
    whole = Left(step, share=1.0, within=sigma**2, tiles=36)
    assert codec_bound(whole, 256, 1.0, 1.0, sigma**2) == 0.0
    few = Left(step, share=0.5, within=0.3, tiles=36)
    assert codec_bound(few, 256, 1.0, 1.0, 0.3) > 0.5 * step / 16.0


def test_where_the_largest_block_is_known_what_is_beside_tells_a_finer_step():
    picture = np.full((64, 64), 500)
    picture[8:16, 8:16:2] += 4
    assert step_beside(picture, 4.0, block=16) == pytest.approx(0.5 * step_beside(picture, 4.0))
    assert step_beside(picture, 4.0, block=32) == step_beside(picture, 4.0)


@pytest.mark.parametrize(("samples", "block"), [(256, 16), (1024, 16), (2304, 24), (10_000, 32)])
def test_of_a_flat_that_tells_nothing_the_blocks_are_half_as_wide_as_the_spot(samples, block):
    """But 16 at least and 32 at the most, as blocks of codecs are (H.264, HEVC)."""
    bound = codec_bound(Left(0.0, 0.0, 0.0), samples, 1.0, 1.0)
    assert bound == pytest.approx(0.5 * USUAL_STEP / block)
