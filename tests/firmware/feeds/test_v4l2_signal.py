import itertools
from dataclasses import dataclass

import pytest

from firmware.feeds.base import FeedInfo
from firmware.feeds.v4l2_signal import SOURCES, UNKNOWN, Trust, signal_of, true_layout
from firmware.v4l2.formats import LAYOUTS
from firmware.v4l2.structs import PixFormat
from overlays.signal.signal import Components, Matrix, Range, Signal, SignalOverride

NOTHING = SignalOverride()


@dataclass(frozen=True)
class Told:
    """What a person is told of a device, as far as they say nothing against it."""

    signal: Signal
    warnings: tuple[str, ...]


def told(driver, name, override=NOTHING, **fields):
    own, warnings, doubts = signal_of(driver, LAYOUTS[name], PixFormat(**fields))
    info = FeedInfo("x", "y", 64, 36, own, 25.0, warnings, doubts=doubts)
    return Told(info.signal_with(override), info.warnings_with(override))


@pytest.mark.parametrize("driver", ["unicam", "rp1-cfe"])
def test_bridge_gives_601_limited_and_rgb_that_it_stretched(driver):
    # raspberrypi/linux, drivers/media/i2c/tc358743.c: VI_REP 601_YCBCR_LIMITED, RGB_FULL.
    found = told(driver, "UYVY", colorspace=3, quantization=1)
    assert (found.signal.range, found.signal.matrix) == (Range.LIMITED, Matrix.BT601)
    assert found.warnings == ()
    found = told(driver, "RGB3")
    assert found.signal.range is Range.STRETCHED
    assert "use UYVY" in found.warnings[0]


def test_receiver_of_the_pi_4_names_its_rgb_the_wrong_way_round():
    assert true_layout("unicam", LAYOUTS["RGB3"], LAYOUTS).view is LAYOUTS["BGR3"].view
    assert true_layout("unicam", LAYOUTS["BGR3"], LAYOUTS).view is LAYOUTS["RGB3"].view
    assert true_layout("unicam", LAYOUTS["RGB3"], LAYOUTS).name == "RGB3"
    assert true_layout("rp1-cfe", LAYOUTS["RGB3"], LAYOUTS) is LAYOUTS["RGB3"]
    assert true_layout("unicam", LAYOUTS["UYVY"], LAYOUTS) is LAYOUTS["UYVY"]


@pytest.mark.parametrize("driver", ["uvcvideo", "some-driver"])
def test_unknown_levels_are_guessed_with_a_warning_until_the_user_settles_both(driver):
    found = told(driver, "YUYV", colorspace=7)
    assert (found.signal.range, found.signal.matrix) == (Range.LIMITED, Matrix.BT709)
    assert "feed check" in found.warnings[0]
    half = told(driver, "YUYV", SignalOverride(range=Range.FULL))
    assert half.signal.range is Range.FULL
    assert half.warnings
    both = told(driver, "YUYV", SignalOverride(range=Range.FULL, matrix=Matrix.BT601))
    assert both.signal.matrix is Matrix.BT601
    assert both.warnings == ()


# Kernel documentation "Colorspaces", sections 2.16.1 ff., and the macros
# V4L2_MAP_YCBCR_ENC_DEFAULT and V4L2_MAP_QUANTIZATION_DEFAULT of videodev2.h.
@pytest.mark.parametrize(
    ("name", "fields", "expected"),
    [
        ("UYVY", {"colorspace": 3}, (Range.LIMITED, Matrix.BT709)),
        ("UYVY", {"colorspace": 1}, (Range.LIMITED, Matrix.BT601)),
        ("UYVY", {"colorspace": 10}, (Range.LIMITED, Matrix.BT2020)),
        ("UYVY", {"colorspace": 12}, (Range.LIMITED, Matrix.BT709)),
        ("UYVY", {"colorspace": 8}, (Range.LIMITED, Matrix.BT601)),
        ("UYVY", {"colorspace": 7}, (Range.FULL, Matrix.BT601)),
        ("UYVY", {"colorspace": 3, "ycbcr_enc": 1}, (Range.LIMITED, Matrix.BT601)),
        ("UYVY", {"colorspace": 3, "quantization": 1}, (Range.FULL, Matrix.BT709)),
        ("RGB3", {"colorspace": 3}, (Range.FULL, Matrix.BT709)),
        ("RGB3", {"colorspace": 3, "quantization": 2}, (Range.LIMITED, Matrix.BT709)),
    ],
)
def test_a_driver_that_is_trusted_is_read_as_the_kernel_documents(name, fields, expected):
    found = told("vivid", name, **fields)
    assert (found.signal.range, found.signal.matrix) == expected
    assert found.warnings == ()


# enum v4l2_ycbcr_encoding of videodev2.h (linux-libc-dev 6.1), numbers printed by gcc: 601 and its
# xvYCC and sYCC kin share the weights of BT.601, 709 and its kin those of BT.709.
@pytest.mark.parametrize(
    ("encoding", "matrix"),
    [
        (1, Matrix.BT601),
        (2, Matrix.BT709),
        (3, Matrix.BT601),
        (4, Matrix.BT709),
        (5, Matrix.BT601),
        (6, Matrix.BT2020),
    ],
)
@pytest.mark.parametrize("space", [1, 3, 10])
def test_an_encoding_that_is_named_goes_over_the_colour_space(encoding, matrix, space):
    found = told("vivid", "UYVY", colorspace=space, ycbcr_enc=encoding)
    assert found.signal.matrix is matrix


@pytest.mark.parametrize(("driver", "name"), list(itertools.product([*SOURCES, ""], LAYOUTS)))
def test_bits_components_and_loss_follow_the_pixel_format(driver, name):
    found = told(driver, name)
    signal, layout = found.signal, LAYOUTS[name]
    assert (signal.bits, signal.components) == (layout.bits, layout.components)
    assert signal.lossy is (name == "MJPG")
    assert any("compresses" in warning for warning in found.warnings) is signal.lossy


def test_every_guess_says_so():
    for source in (*SOURCES.values(), UNKNOWN):
        assert (source.trust is Trust.NOBODY) is bool(source.remark)


def test_override_of_the_range_settles_rgb():
    found = told("uvcvideo", "RGB3", SignalOverride(range=Range.LIMITED))
    assert found.signal.components is Components.RGB
    assert found.signal.range is Range.LIMITED
    assert found.warnings == ()
    assert told("uvcvideo", "RGB3").warnings
