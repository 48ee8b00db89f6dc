"""Errors carried to a quantity, by arithmetic."""

import numpy as np
import pytest

from overlays.measure.spot.noise import SURE
from overlays.measure.spot.spot_errors import SeenNoise, SpotErrors, rounding_only
from overlays.measure.spot.uncertainty import PlaneError, student95


def errors(rounding=0.0, standard=0.0, correlation=None, seen=None):
    planes = [PlaneError(standard, rounding, 1.0, 1e6)] * 3
    slopes = np.eye(3) * 0.01
    squares = np.array([np.outer(slopes[:, p], slopes[:, p]) for p in range(3)])
    shared = np.eye(3) if correlation is None else correlation
    return SpotErrors(planes, slopes, squares, np.zeros(3), shared, seen)


def test_shared_noise_adds_as_it_is_and_free_noise_in_squares():
    all_three = np.ones(3)
    free, shared = errors(standard=1.0), errors(standard=1.0, correlation=np.ones((3, 3)))
    width = SURE * student95(1e6) * 0.01
    assert free.pm(all_three) == pytest.approx(width * np.sqrt(3.0))
    assert shared.pm(all_three) == pytest.approx(width * 3.0)
    assert shared.pm(np.array([1.0, -1.0, 0.0])) == pytest.approx(0.0, abs=1e-12)


def test_what_frames_showed_stands_for_the_noise_and_rounding_stays():
    seen = SeenNoise(np.diag([4e-6, 0.0, 0.0]), 23.0)
    found = errors(rounding=0.5, standard=9.0, seen=seen).pm(np.array([1.0, 0.0, 0.0]))
    assert found == pytest.approx(np.hypot(SURE * student95(23.0) * 2e-3, 0.005))
    assert rounding_only(PlaneError(1.0, 0.5, 1.0, 9.0)).standard == 0.0
