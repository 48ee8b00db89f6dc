"""Pixels of a spot, against the whole picture decoded at once."""

import numpy as np
import pytest

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.range.area_pixels import nominal_pixels
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal, Subsampling


@pytest.mark.parametrize("subsampling", list(Subsampling))
def test_each_pixel_has_the_chroma_it_is_sited_with(subsampling):
    rng = np.random.default_rng(2)
    luma = rng.integers(64, 940, (24, 32)).astype(np.uint16)
    shape = (24 // subsampling.rows, 32 // subsampling.columns)
    blue, red = (rng.integers(64, 960, shape).astype(np.uint16) for _ in range(2))
    signal = Signal(10, subsampling=subsampling)
    yard = yardstick(signal, published_curve("BT.709"))
    found = nominal_pixels(Frame((luma, blue, red), signal), yard, SpotPlace(15, 11, 6, 4))
    assert found.shape == (24, 3)
    full = [p.repeat(subsampling.rows, 0).repeat(subsampling.columns, 1) for p in (blue, red)]
    y = (luma[9:13, 12:18].astype(float) - 64.0) / 876.0
    b, r = ((p[9:13, 12:18].astype(float) - 512.0) / 896.0 for p in full)
    # ITU-R BT.709-6: Cr = (R' - Y') / 1.5748, Cb = (B' - Y') / 1.8556
    np.testing.assert_allclose(found[:, 0], (y + 1.5748 * r).ravel(), atol=1e-9)
    np.testing.assert_allclose(found[:, 2], (y + 1.8556 * b).ravel(), atol=1e-9)
