"""Flat rectangular places of a picture."""

import numpy as np
import pytest

from overlays.measure.chart.blobs import flat_blobs, small_picture
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal, Subsampling
from tests.chart_frames import inside, mottled, turned, upright
from tests.colour_frames import frame_of


def small(linear, bits=10, noise=0.5):
    frame = frame_of(linear, bits=bits, noise=noise)
    return small_picture(frame, yardstick(frame.signal, published_curve("BT.709")))


@pytest.mark.parametrize("degrees", [0.0, 30.0, 45.0])
def test_squares_are_found_whatever_their_turn(degrees):
    picture = mottled(200, 300)
    corners = turned(upright(130.0, 80.0, 40.0, rows=1, columns=1), degrees, (150.0, 100.0))
    picture[inside(np.array(corners.points), 200, 300)] = (0.5, 0.2, 0.1)
    middle = np.mean(corners.points, axis=0)
    blobs = flat_blobs(small(picture))
    near = [b for b in blobs if np.hypot(b.column - middle[0], b.row - middle[1]) < 1.0]
    assert len(near) == 1
    assert near[0].area == pytest.approx(34.8**2, rel=0.2)


def test_a_ring_and_a_stripe_are_no_patches():
    y, x = np.mgrid[0:200, 0:300]
    away = np.hypot(x - 150, y - 100)
    ring = mottled(200, 300)
    ring[(away > 30) & (away < 50)] = 0.5
    ring[10:20, 20:200] = 0.6
    assert flat_blobs(small(ring)) == []


def test_large_pictures_are_brought_down_by_means():
    rng = np.random.default_rng(2)
    planes = tuple(rng.integers(100, 900, (540, 1920 // n), dtype=np.uint16) for n in (1, 2, 2))
    frame = Frame(planes, Signal(bits=10, subsampling=Subsampling.S422))
    found = small_picture(frame, yardstick(frame.signal, published_curve("BT.709")))
    assert found.factor == 4
    assert found.nominal.shape == (135, 480, 3)
    luma = (planes[0].reshape(135, 4, 480, 4).mean(axis=(1, 3)) - 64.0) / 876.0
    np.testing.assert_allclose(found.nominal @ (0.2126, 0.7152, 0.0722), luma, atol=1e-9)


@pytest.mark.parametrize("sub", list(Subsampling))
def test_small_pictures_are_taken_as_they_are(sub):
    planes = (
        np.full((31, 45), 500, np.uint16),
        np.full((-(-31 // sub.rows), -(-45 // sub.columns)), 512, np.uint16),
        np.full((-(-31 // sub.rows), -(-45 // sub.columns)), 512, np.uint16),
    )
    frame = Frame(planes, Signal(bits=10, subsampling=sub))
    found = small_picture(frame, yardstick(frame.signal, published_curve("BT.709")))
    assert found.factor == 1
    np.testing.assert_allclose(found.nominal, (500 - 64) / 876.0, atol=1e-9)
