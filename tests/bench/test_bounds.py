"""The bound of a level by its samples, against what is known of it without any rounding."""

import numpy as np
import pytest

from tests.bench.bounds import bound_of, light_pm, shares
from tests.made_cameras import WEIGHTS, scene_noise


@pytest.mark.parametrize("curve", ["S-Log3", "HLG", "BT.709"])
def test_all_samples_are_shared_out(curve):
    light = 0.18 * 2.0**-6
    assert shares(curve, 8, light, float(scene_noise(light))).sum() == pytest.approx(1.0, abs=1e-6)


def test_where_noise_dithers_it_is_the_bound_of_a_normal_mean():
    """Cramer and Rao of n normal samples: 1.96 s / sqrt(n), s that of three channels in luma."""
    light, count = 0.18 * 2.0**-6, 192**2
    plain = 1.96 * float(scene_noise(light)) * float(np.sqrt((WEIGHTS**2).sum())) / count**0.5
    assert light_pm("S-Log3", 10, light, count) == pytest.approx(plain, rel=0.05)
    assert plain < light_pm("S-Log3", 8, light, count) < 1.4 * plain  # coarser codes, less told


def test_steps_together_are_surer_in_the_dark_than_each_alone():
    bound = bound_of("S-Log3", 8, 192, np.arange(-8.0, 3.0, 1.0 / 3.0))
    assert (np.diff(bound.alone[:9]) < 0.0).all()  # the more light the surer
    assert np.isfinite(bound.together).all()
