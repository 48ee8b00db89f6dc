"""What is known of the levels and matrix of a capture device, as data.

A driver's own colour fields are seldom to be trusted: the HDMI bridge makes them up from its output
format, and USB sticks follow no rule. So each known driver has a row here, the user can overrule
any of it (`SignalOverride`), and where nothing is known a reading carries a warning until a feed
check has been made.
"""

from dataclasses import dataclass, replace
from enum import Enum

from firmware.feeds.base import Doubt, Settles
from firmware.v4l2 import structs
from firmware.v4l2.formats import PixelLayout
from overlays.signal.signal import Components, Matrix, Range, Signal


class Trust(Enum):
    """Whose word counts on range and matrix."""

    TABLE = "what is known of this device"
    DRIVER = "what the driver says"
    NOBODY = "nobody's: a guess until a feed check"


@dataclass(frozen=True, slots=True)
class DriverSays:
    """What is known of the pictures of one kernel driver.

    Attributes
    ----------
    driver:
        Name in `v4l2_capability.driver`.
    trust:
        Whose word counts.
    ycbcr, rgb:
        Range and matrix of Y'CbCr and of R'G'B' formats.
    swapped_rgb:
        Whether the format called RGB3 lies in memory as B, G, R, and BGR3 the other way round.
    remark:
        One sentence for the user, or "".
    rgb_remark:
        The same for R'G'B' formats.
    """

    driver: str
    trust: Trust
    ycbcr: tuple[Range, Matrix] = (Range.LIMITED, Matrix.BT709)
    rgb: tuple[Range, Matrix] = (Range.FULL, Matrix.BT709)
    swapped_rgb: bool = False
    remark: str = ""
    rgb_remark: str = ""


_BRIDGE_RGB = (
    "the HDMI bridge stretches limited range to full in R'G'B' formats and cuts off everything "
    "below black and above peak; use UYVY to measure"
)

# The bridge's output is programmed to BT.601 limited for UYVY and to full range for RGB whatever
# comes in: raspberrypi/linux, drivers/media/i2c/tc358743.c. The receiver of the Pi 4 calls its
# BGR order RGB3: raspberrypi/linux issue 6068; that of the Pi 5 names the order rightly.
SOURCES = {
    source.driver: source
    for source in (
        DriverSays(
            "unicam",
            Trust.TABLE,
            ycbcr=(Range.LIMITED, Matrix.BT601),
            swapped_rgb=True,
            rgb=(Range.STRETCHED, Matrix.BT709),
            rgb_remark=_BRIDGE_RGB,
        ),
        DriverSays(
            "rp1-cfe",
            Trust.TABLE,
            ycbcr=(Range.LIMITED, Matrix.BT601),
            rgb=(Range.STRETCHED, Matrix.BT709),
            rgb_remark=_BRIDGE_RGB,
        ),
        DriverSays(
            "uvcvideo",
            Trust.NOBODY,
            remark=(
                "USB sticks differ in range and matrix and do not say which; limited range and "
                "BT.709 are assumed until a feed check has been made"
            ),
        ),
        DriverSays("vivid", Trust.DRIVER),
    )
}

_MATRIX_OPEN = (
    "the matrix of this capture device is not checked: BT.709 is assumed, which greys do not show "
    "and colours do; a saturated patch in a feed check may decide it"
)

UNKNOWN = DriverSays(
    "",
    Trust.NOBODY,
    remark=(
        "nothing is known of this capture device's range and matrix; limited range and BT.709 are "
        "assumed until a feed check has been made"
    ),
)

# enum v4l2_ycbcr_encoding and v4l2_colorspace of videodev2.h; 0 means "the default of the colour
# space", which is BT.709 for Rec.709 and DCI-P3, BT.2020 for BT.2020, and BT.601 for the rest.
_ENCODINGS = {1: Matrix.BT601, 2: Matrix.BT709, 3: Matrix.BT601, 4: Matrix.BT709, 5: Matrix.BT601}
_ENCODINGS[6] = Matrix.BT2020
_SPACES = {3: Matrix.BT709, 12: Matrix.BT709, 10: Matrix.BT2020}
_SRGB, _JPEG = 8, 7
_FULL_RANGE, _LIMITED_RANGE = 1, 2


def _as_driver_says(pix: structs.PixFormat, components: Components) -> tuple[Range, Matrix]:
    """Range and matrix by the driver's fields (V4L2_MAP_YCBCR_ENC_DEFAULT and its like)."""
    space = int(pix.colorspace)
    matrix = _ENCODINGS.get(int(pix.ycbcr_enc)) or _SPACES.get(space, Matrix.BT601)
    if components is Components.RGB:
        matrix = _SPACES.get(space, Matrix.BT709)
    if pix.quantization in {_FULL_RANGE, _LIMITED_RANGE}:
        return (Range.FULL if pix.quantization == _FULL_RANGE else Range.LIMITED), matrix
    full = components is Components.RGB or space == _JPEG
    return (Range.FULL if full else Range.LIMITED), matrix


def signal_of(
    driver: str, layout: PixelLayout, pix: structs.PixFormat
) -> tuple[Signal, tuple[str, ...], tuple[Doubt, ...]]:
    """How to read a device's codes, what makes that less certain, and what does unless it is said.

    Parameters
    ----------
    driver:
        Name of the kernel driver.
    layout, pix:
        The pixel format and what the driver answered to it.
    """
    source = SOURCES.get(driver, UNKNOWN)
    rgb = layout.components is Components.RGB
    if source.trust is Trust.DRIVER:
        levels, matrix = _as_driver_says(pix, layout.components)
    else:
        levels, matrix = source.rgb if rgb else source.ycbcr
    signal = Signal(
        bits=layout.bits,
        range=levels,
        matrix=matrix,
        components=layout.components,
        subsampling=layout.subsampling,
        lossy=layout.compressed,
    )
    settled_by = Settles.RANGE if rgb else Settles.RANGE | Settles.MATRIX
    doubts = (Doubt(source.remark, settled_by, _MATRIX_OPEN),) if source.remark else ()
    remarks = []
    if rgb and source.rgb_remark:
        remarks.append(source.rgb_remark)
    if layout.compressed:
        remarks.append("the device compresses its pictures, which costs fine detail and noise")
    return signal, tuple(remarks), doubts


def true_layout(driver: str, layout: PixelLayout, layouts: dict[str, PixelLayout]) -> PixelLayout:
    """The layout as it lies in memory, which for some drivers is not the one they name."""
    swap = {"RGB3": "BGR3", "BGR3": "RGB3"}
    if SOURCES.get(driver, UNKNOWN).swapped_rgb and layout.name in swap:
        return replace(layouts[swap[layout.name]], name=layout.name)
    return layout
