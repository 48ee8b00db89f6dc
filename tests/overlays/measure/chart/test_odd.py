"""Odd patches, on charts as cameras of measured sensitivities see them."""

import numpy as np
import pytest

from overlays.measure.chart.odd import left_by_matrix, odd_patches
from overlays.measure.chart.reference import CHART24, gamut_to_d65
from overlays.signal.gamuts import published_gamut
from tests import cameras

BT709 = published_gamut("BT.709")
TO_D65, EXPECTED = gamut_to_d65(BT709), CHART24.linear(BT709)
ALL = np.ones(24, bool)


def seen(camera, light, dialled):
    """What a camera sends of the chart's published reflectances: its balance is on its light."""
    patches = cameras.reflectances()[:24]
    raw = (patches * light) @ camera / (light @ camera)
    return np.maximum(raw @ cameras.matrix(camera, dialled).T, 1e-4)


def odd(linear, kept=ALL):
    return odd_patches(linear, kept, EXPECTED, CHART24, TO_D65)


@pytest.mark.parametrize("kelvin", [3200.0, 5600.0])
@pytest.mark.parametrize("camera", [0, 1, 2])
def test_no_camera_makes_a_patch_odd(camera, kelvin):
    linear = seen(
        cameras.sensitivities()[camera], cameras.daylight(kelvin), cameras.daylight(4300.0)
    )
    assert odd(linear) == ()
    _, left = left_by_matrix(linear, ALL, EXPECTED, CHART24, TO_D65)
    assert left.mean() < 5.0


@pytest.mark.parametrize("camera", [0, 1, 2])
def test_patches_that_were_changed_are_found_and_no_others(camera):
    light = cameras.daylight(5600.0)
    linear = seen(cameras.sensitivities()[camera], light, light)
    for changed in ((3, 16), (0, 8), (12,)):
        wrong = linear.copy()
        for n in changed:
            wrong[n] = linear[(n + 11) % 18]
        assert set(odd(wrong)) == set(changed)


def test_a_clipped_patch_says_nothing_and_few_patches_neither():
    wrong = np.maximum(EXPECTED, 1e-3)
    wrong[5] = (0.9, 0.1, 0.1)
    kept = ALL.copy()
    assert odd(wrong, kept) == (5,)
    kept[5] = False
    assert odd(wrong, kept) == ()
    kept[8:] = False
    assert odd(wrong, kept) == ()
