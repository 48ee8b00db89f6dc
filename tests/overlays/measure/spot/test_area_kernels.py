"""The spot's loop is held by test_spot; here what it adds into."""

import numpy as np

from overlays.measure.spot import area_kernels


def test_sums_of_a_spot_have_names_and_start_at_nothing():
    sums = area_kernels.no_sums()
    assert all(float(np.abs(total).sum()) == 0.0 for total in sums)
    assert sums.slope_products.shape == (3, 3)
    assert sums._fields[0] == "light"
