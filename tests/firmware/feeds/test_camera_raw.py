import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import FeedFormatError
from firmware.feeds.camera_raw import Bayer, SensorLinear, bayer_of, sensor_curve
from overlays.signal.signal import Components, Range


@pytest.mark.parametrize("order", ["RGGB", "BGGR", "GRBG", "GBRG"])
@pytest.mark.parametrize(("bits", "kind"), [(8, np.uint8), (12, "<u2"), (16, "<u2")])
def test_each_colour_comes_from_its_place_in_the_pattern(order, bits, kind):
    rows, columns, padding = 6, 8, 16
    mosaic = np.zeros((rows, columns), kind)
    for place, colour in enumerate(order):
        mosaic[place // 2 :: 2, place % 2 :: 2] += {"R": 10, "G": 20, "B": 30}[colour]
    lines = mosaic.view(np.uint8).reshape(rows, -1)
    data = np.pad(lines, ((0, 0), (0, padding))).reshape(-1)
    planes = Bayer(order, bits).planes(data, rows, columns, lines.shape[1] + padding)
    for plane, value in zip(planes, (10, 20, 30), strict=True):
        assert plane.shape == (rows // 2, columns // 2)
        assert (plane == value).all()
        assert np.shares_memory(plane, data)


def test_names_of_formats():
    assert bayer_of("SRGGB12") == Bayer("RGGB", 12)
    assert bayer_of("SGBRG16") == Bayer("GBRG", 16)
    signal = bayer_of("SBGGR10").signal
    assert (signal.bits, signal.range, signal.components) == (10, Range.FULL, Components.RGB)


@pytest.mark.parametrize("name", ["SRGGB12_CSI2P", "BGGR_PISP_COMP1", "YUV420", ""])
def test_packed_and_compressed_formats_are_refused(name):
    with pytest.raises(FeedFormatError, match="unpacked"):
        bayer_of(name)


@pytest.mark.parametrize(("bits", "black"), [(10, 64), (12, 256), (16, 4096)])
def test_black_level_is_no_light_and_the_top_count_is_the_clip(bits, black):
    # 4096 of 16 bits, as libcamera gives it for common sensors: 64 of 10 bits, 256 of 12.
    curve = sensor_curve((4096,) * 4, bits)
    top = 2**bits - 1
    assert curve.decode(black / top) == pytest.approx(0.0, abs=1e-12)
    assert curve.decode(1.0) == pytest.approx(1.0)
    assert curve.value_to_stops(curve.encode(0.18)) == pytest.approx(0.0)
    # Twice the counts above black is one stop.
    low, high = (curve.decode((black + counts) / top) for counts in (100, 200))
    assert high / low == pytest.approx(2.0)


def test_without_black_levels_counts_start_at_nothing():
    assert sensor_curve((), 12).decode(0.0) == 0.0


@given(st.floats(0.0, 0.5), st.floats(-0.5, 2.0))
def test_there_and_back(black, light):
    formula = SensorLinear(black)
    assert formula.decode(formula.encode(np.asarray(light))) == pytest.approx(light, abs=1e-9)
