"""Half widths of errors of three planes, against the sums written out."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.spot.noise import SURE
from overlays.measure.spot.rounding import Z95
from overlays.measure.spot.student import student95
from overlays.measure.spot.width_kernels import along_axes, half_width

SEEDS = st.integers(0, 10_000)


def made(seed):
    """Errors of three planes and how far they share their noise."""
    rng = np.random.default_rng(seed)
    errors = np.stack([rng.uniform(0, 2, 3), rng.uniform(0, 0.5, 3), rng.uniform(3, 99, 3)], axis=1)
    mixed = rng.normal(size=(3, 3))
    shared = mixed @ mixed.T
    scale = np.sqrt(np.diagonal(shared))
    return rng, errors, shared / np.outer(scale, scale)


@given(SEEDS)
def test_noise_and_rounding_add_as_the_docstring_of_uncertainty_says(seed):
    rng, errors, shared = made(seed)
    bias = rng.normal(size=3)
    noise = np.abs(bias) + rng.uniform(0, 1, 3)
    width = np.array([SURE * student95(each[2]) * each[0] for each in errors])
    joint = (bias * width) @ shared @ (bias * width)
    own = np.sum((noise**2 - bias**2) * width**2)
    bounds = np.abs(bias) * errors[:, 1]
    even = np.where(errors[:, 1] > 0.25, 3.0, 2.0)
    rounding = min(bounds.sum(), Z95 * math.sqrt(np.sum(bounds**2 / even)))
    found = half_width(noise, bias, errors, shared)
    assert found == pytest.approx(math.sqrt(joint + own + rounding**2))


@given(SEEDS)
def test_red_green_and_blue_have_that_of_their_own_gradients(seed):
    rng, errors, shared = made(seed)
    slopes = rng.normal(size=(3, 3))
    squares = np.stack([np.outer(each, each) for each in slopes.T]) * 1.2  # by plane
    excess, hidden = rng.normal(size=3), rng.uniform(0, 1, 3)
    found = along_axes((squares, slopes, shared), errors, (excess, hidden))
    for k, gradient in enumerate(np.eye(3)):
        noise = np.sqrt(np.einsum("k,pkl,l->p", gradient, squares, gradient))
        bias = gradient @ slopes
        alone = half_width(noise, np.ascontiguousarray(bias), errors, shared)
        assert found[k] == pytest.approx(alone + abs(excess[k]) + hidden[k])
