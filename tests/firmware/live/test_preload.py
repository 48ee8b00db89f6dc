"""What is brought in early is what the first frame of a feed then needs."""

import subprocess
import sys

SCRIPT = """
import numpy as np
from firmware.live.preload import load_kernels
from overlays.measure.counting import kernels
from overlays.measure.range import area_counts
from overlays.measure.spot import area_kernels
from overlays.measure.counting.census import take_census
from overlays.measure.range.range import read_range
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.frame import Frame, packed_422
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal

def loaded():
    return {
        (name, str(signature))
        for module in (kernels, area_kernels, area_counts)
        for name, kernel in vars(module).items()
        for signature in getattr(kernel, "signatures", ())
    }

assert not loaded()
load_kernels()
early = loaded()
assert {"count_levels", "look_at_areas"} <= {name for name, _ in early}, early
data = np.full(360 * 1280, 0x80, np.uint8)
frame = Frame(packed_422(data, 360, 640), Signal())
yard = yardstick(frame.signal, published_curve("BT.709"))
read_range(frame, yard, take_census(frame, yard))
read_spot(frame, yard, SpotPlace(320, 180, 40))
assert loaded() == early, loaded() - early
"""


def test_another_layout_of_eight_bits_needs_nothing_more():
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT], capture_output=True, text=True, timeout=300, check=False
    )
    assert done.returncode == 0, done.stderr
