"""Errors carried to a quantity, by arithmetic."""

import numpy as np
import pytest

from overlays.measure.spot.noise import SURE
from overlays.measure.spot.rounding import Z95
from overlays.measure.spot.spot_errors import SeenNoise, SpotErrors, pm_of_two, rounding_only
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


RED = np.array([1.0, 0.0, 0.0])


def test_noise_of_two_spots_adds_in_squares_and_rounding_as_of_two_even_spreads():
    still, noisy = errors(rounding=0.5), errors(standard=1.0)
    assert pm_of_two((noisy, RED), (noisy, 2.0 * RED)) == pytest.approx(
        noisy.pm(RED) * np.sqrt(5.0)
    )
    alike = pm_of_two((still, RED), (still, -RED))
    assert alike == pytest.approx(Z95 * 0.005 * np.sqrt(2.0 / 3.0))
    # Of one that is next to nothing the sum is less.
    assert pm_of_two((still, RED), (still, 0.01 * RED)) == pytest.approx(0.00505)
    both = errors(rounding=0.5, standard=1.0)
    together = pm_of_two((both, RED), (both, RED))
    assert together == pytest.approx(np.hypot(noisy.pm(RED) * np.sqrt(2.0), alike))


def test_two_spots_are_no_surer_than_their_half_widths_in_squares():
    seen = SeenNoise(np.diag([4e-6, 0.0, 0.0]), 23.0)
    for one in (errors(0.5, 1.0), errors(0.2, seen=seen), errors(0.5)):
        other = errors(0.3, 0.4)
        squares = np.hypot(one.pm(RED), other.pm(RED))
        assert pm_of_two((one, RED), (other, RED)) >= squares * (1.0 - 1e-12)
