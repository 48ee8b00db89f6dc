"""The made frames: what is known of them is true, and lossless encoders give them back."""

import numpy as np
import pytest

from tests.bench.made_frames import CODECS, Cell, blurred, light_of, made, through

av = pytest.importorskip("av")


def test_blurred_noise_keeps_its_variance_and_goes_together():
    noise = blurred(np.random.default_rng(1).normal(size=(400, 400)), 1.0)
    assert noise.var() == pytest.approx(1.0, rel=0.05)
    # A gaussian of 1 pixel gives an autocovariance of exp(-1/4) at a pixel's distance.
    assert (noise[1:] * noise[:-1]).mean() == pytest.approx(np.exp(-0.25), rel=0.05)


@pytest.mark.parametrize("codec", ["ffv1", "v210"])
def test_what_discards_nothing_gives_the_frame_back(codec):
    if CODECS[codec].encoder not in av.codecs_available:
        pytest.skip("not in this PyAV")
    rng = np.random.default_rng(2)
    planes = made(Cell("BT.709", 10, codec, 0.5, 0.0), light_of("BT.709", 24, rng), 24, "luma", rng)
    (back,) = through(CODECS[codec], [planes], 10)
    assert all(np.array_equal(a, b) for a, b in zip(planes, back, strict=True))
