"""Means and errors of a spot: sums by hand, and a half width that reaches down to no light."""

import math

import numpy as np
import pytest

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot_means import errors_of, percent_sizes, spot_sums
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Range, Signal, Subsampling

RGB = Signal(10, Range.FULL, components=Components.RGB, subsampling=Subsampling.S444)
YUV = Signal(10, subsampling=Subsampling.S444)


def frame_of(plane, signal=RGB):
    return Frame((plane, plane, plane), signal)


def test_means_are_those_of_the_rectangle_alone():
    plane = np.full((32, 32), 900, np.uint16)
    plane[4:12, 8:24] = 512
    yard = yardstick(RGB, published_curve("V-Log"))
    mean = spot_sums(frame_of(plane), yard, (4, 12), (8, 24))
    assert mean.stored == pytest.approx([512.0] * 3)
    assert mean.light == pytest.approx([float(yard.carried.light(512 / 1023))] * 3, rel=1e-4)
    assert mean.any_clipped[0] == 0.0


def test_percent_goes_by_luma_alone_or_by_the_weights_of_rgb():
    assert percent_sizes(yardstick(YUV, published_curve("BT.709"))) == pytest.approx(
        [100.0 / 876.0, 0.0, 0.0]
    )
    assert percent_sizes(yardstick(RGB, published_curve("BT.709"))).sum() == pytest.approx(
        100.0 / 1023.0
    )


def test_what_noise_hides_over_the_clip_is_among_the_errors():
    yard = yardstick(RGB, published_curve("V-Log"))
    drawn = np.random.default_rng(1).normal(1014.0, 4.0, (64, 64))
    frame = frame_of(np.clip(np.rint(drawn), 0, 1023).astype(np.uint16))
    area = (8, 56), (8, 56)
    mean = spot_sums(frame, yard, *area)
    errors, explained = errors_of(mean, frame, yard, area, 1)
    assert explained == mean.any_clipped[0] > 0.0
    assert errors.hidden.min() > 0.0
    assert math.isfinite(errors.pm(yard.weights))
    still = frame_of(np.where(drawn > 1022.5, 1023, 600).astype(np.uint16))
    mean = spot_sums(still, yard, *area)
    assert errors_of(mean, still, yard, area, 1)[1] == 0.0
