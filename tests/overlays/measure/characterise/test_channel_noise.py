import colour
import numpy as np
import pytest

from overlays.measure.characterise.channel_noise import channel_noise
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.frame import Frame
from overlays.signal.levels import decoding, luma_scale
from overlays.signal.signal import Signal, Subsampling


@pytest.mark.parametrize("sigmas", [(1.5, 1.5, 1.5), (3.0, 1.0, 2.0), (0.8, 0.8, 4.0)])
def test_noise_of_each_channel_is_what_was_laid_on_it(sigmas):
    """A grey in 4:4:4 with noise of its own in R', G' and B'."""
    rng = np.random.default_rng(6)
    share = np.array(sigmas) / 876.0
    rgb = 0.5 + rng.normal(0.0, 1.0, (128, 128, 3)) * share
    # colour-science's matrix of BT.709, in codes of limited range and 10 bits.
    ycbcr = colour.RGB_to_YCbCr(
        rgb,
        K=colour.models.WEIGHTS_YCBCR["ITU-R BT.709"],
        in_bits=10,
        in_int=False,
        in_legal=False,
        out_bits=10,
        out_int=True,
        out_legal=True,
    )
    one, two, three = (np.ascontiguousarray(ycbcr[..., n]).astype(np.uint16) for n in range(3))
    frame = Frame((one, two, three), Signal(10, subsampling=Subsampling.S444))
    found = channel_noise(frame, SpotPlace(64, 64, 96))
    # Each plane is rounded once more, which adds a twelfth to its variance.
    weights = luma_scale(frame.signal).span * decoding(frame.signal).matrix
    rounded = np.sqrt(np.array(sigmas) ** 2 + np.sum(weights**2, axis=1) / 12.0)
    assert found == pytest.approx(tuple(rounded), rel=0.03)


@pytest.mark.parametrize("sub", list(Subsampling))
def test_a_slope_is_no_noise_and_any_layout_is_read(sub):
    down, across = np.mgrid[0:64, 0:64]
    luma = (300 + 2 * down + 3 * across).astype(np.uint16)
    chroma = np.full((64 // sub.rows, 64 // sub.columns), 512, np.uint16)
    frame = Frame((luma, chroma, chroma), Signal(10, subsampling=sub))
    assert channel_noise(frame, SpotPlace(32, 32, 33)) == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)


def test_an_area_of_a_pixel_has_none():
    plane = np.full((8, 8), 100, np.uint8)
    frame = Frame((plane, plane, plane), Signal(8, subsampling=Subsampling.S444))
    assert channel_noise(frame, SpotPlace(0, 0, 1)) == (0.0, 0.0, 0.0)
