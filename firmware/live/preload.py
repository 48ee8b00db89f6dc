"""Brings in the kernels that every 8-bit feed is measured with, before there is a feed."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from overlays.measure.counting.census import take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.range.range import read_range
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame, planar
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal, Subsampling

EDGE = 64
"""Of the small grey picture that is measured for it, in pixels."""


def load_kernels(is_over: Callable[[], bool] = lambda: False) -> None:
    """Measure a small grey picture: numba's own machinery and the kernels are loaded by it.

    Compiled kernels come from numba's cache; where they are not there yet, they are compiled. Ends
    early once `is_over`: whoever stops the appliance waits for it.
    """
    data = np.full(EDGE * EDGE * 3 // 2, 0x80, np.uint8)
    signal = Signal(subsampling=Subsampling.S420)
    frame = Frame(planar(data, EDGE, EDGE), signal)
    yard = yardstick(signal, published_curve("BT.709"))
    census = take_census(frame, yard)
    place = SpotPlace(EDGE // 2, EDGE // 2, EDGE // 4)
    compressed = Frame(frame.planes, replace(signal, lossy=True))
    for load in (
        lambda: read_range(frame, yard, census),
        lambda: read_spot(frame, yard, place),
        lambda: read_spot(compressed, yard, place),
    ):
        if is_over():
            return
        load()
