"""Stops."""

import numpy as np
import pytest

from overlays.signal.curves import linear_to_stops, stops_to_linear


def test_stops_are_from_mid_grey():
    assert linear_to_stops(0.18) == 0.0
    assert linear_to_stops(0.0) == -np.inf
    assert np.isnan(linear_to_stops(-0.1))
    assert stops_to_linear(1.0) == pytest.approx(0.36)
    # arithmetic: a 90 % white lies log2(5) above mid-grey
    assert linear_to_stops(0.9) == pytest.approx(2.3219, abs=1e-4)
