import numpy as np
import pytest

from overlays.measure.watch.change import Tolerance, distance, rise, three


def test_a_tolerance_is_three_numbers():
    assert Tolerance(0.1, 0.2).stops.tolist() == [0.1, 0.2, 0.2]


@pytest.mark.parametrize("length", [0.1, 0.8, 3.0])
def test_how_long_a_change_took(length):
    seconds = np.arange(0.0, 8.0, 0.01)
    progress = np.clip((seconds - 4.0) / length, 0.0, 1.0)
    half_ns, took_s = rise(seconds, progress)
    assert half_ns / 1e9 == pytest.approx(4.0 + length / 2.0, abs=0.02)
    assert took_s == pytest.approx(length * 4.0 / 6.0, abs=0.03)


def test_a_triple():
    assert three(np.array([1, 2, 3])) == (1.0, 2.0, 3.0)


def test_a_distance_is_counted_in_the_tolerance_of_its_quantity():
    allowed = Tolerance(0.1, 0.2).stops
    assert distance(np.array([1.0, -0.5, 0.0]), np.array([0.9, 0.0, 0.0]), allowed) == 2.5
