"""Compile every kernel for every layout a feed may bring, once, so that no start has to.

Run at installation, as the appliance's own user and with its NUMBA_CACHE_DIR, by
``python -m firmware.warm``: numba keeps what it compiles there, for this processor.
"""

import sys
from collections.abc import Iterator

import numpy as np

from firmware.v4l2.formats import LAYOUTS
from overlays.draw.picture import PictureDrawer
from overlays.measure.census import Wants, take_census
from overlays.measure.range import read_range
from overlays.measure.spot import SpotPlace, read_spot
from overlays.measure.yardstick import yardstick
from overlays.signal.frame import Frame, planar
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Signal, Subsampling

ROWS, COLUMNS = 96, 128
CURVES = ("BT.709",)


def every_frame() -> Iterator[Frame]:
    """A grey frame of each layout that capture devices and files bring."""
    for layout in LAYOUTS.values():
        stride = layout.least_stride(COLUMNS)
        size = round(stride * ROWS * layout.height)
        if layout.view is None:
            continue
        data = np.full(size, 0x60, np.uint8)
        signal = Signal(
            bits=layout.bits, components=layout.components, subsampling=layout.subsampling
        )
        planes = layout.view(data, ROWS, COLUMNS, stride)
        yield Frame(planes=planes, signal=signal, shift=layout.shift)
    for subsampling in (Subsampling.S420, Subsampling.S422):
        for bits in (8, 10):
            wide = 1 if bits == 8 else 2
            data = np.full(3 * ROWS * COLUMNS * wide, 1, np.uint8)
            signal = Signal(bits=bits, components=Components.YCBCR, subsampling=subsampling)
            yield Frame(planar(data, ROWS, COLUMNS, subsampling, wide), signal)


def use(frame: Frame) -> None:
    """Measure and draw a frame as the appliance does."""
    curve = published_curve(CURVES[0])
    yard = yardstick(frame.signal, curve, shift=frame.shift)
    place = SpotPlace(column=COLUMNS // 2, row=ROWS // 2, size=16)
    read_spot(frame, yard, place)
    everything = Wants.LEVELS | Wants.CHROMA | Wants.RGB | Wants.CLIPPING
    read_range(frame, yard, take_census(frame, yard, everything))
    PictureDrawer().draw(frame, yard, (), np.zeros((ROWS // 2, COLUMNS // 2), np.uint32))


def main() -> int:
    """Warm up everything; how many layouts were tried."""
    tried = 0
    for frame in every_frame():
        use(frame)
        tried += 1
    print(f"kernels are ready for {tried} layouts", file=sys.stdout)  # noqa: T201
    return 0


if __name__ == "__main__":
    sys.exit(main())
