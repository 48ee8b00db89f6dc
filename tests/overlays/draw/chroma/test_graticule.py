"""Where things lie on the chroma trace, against the bars' published codes."""

import csv

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.chroma.graticule import (
    GAINS,
    SKIN_DEGREES,
    Disc,
    cells_of_pixels,
    chroma_of,
    targets,
    tolerance_ring,
)
from overlays.draw.layout.areas import Area
from overlays.measure.colour.whitepoint import THREE_STEPS
from overlays.signal.carried import CarriedCurve
from overlays.signal.gamuts import published_gamut
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Matrix, Range, Signal
from tests.places import REFERENCE

TABLE = REFERENCE / "bars.csv"
NAMES = {"R": "red", "Mg": "magenta", "B": "blue", "Cy": "cyan", "G": "green", "Yl": "yellow"}


def test_targets_are_the_published_bars_within_half_a_code():
    with TABLE.open(newline="") as file:
        rows = {row["patch"]: row for row in csv.DictReader(file)}
    found = targets(Matrix.BT709)
    assert len(found) == 12
    for target in found:
        row = rows[f"{target.level:.0%} {NAMES[target.name]}"]
        # ITU-R BT.709-6 quantisation at 8 and 10 bits, as computed in the reference.
        for bits in (8, 10):
            step = 1 << (bits - 8)
            cb, cr = (128 * step + 224 * step * value for value in (target.cb, target.cr))
            assert cb == pytest.approx(float(row[f"cb{bits}"]), abs=0.51)
            assert cr == pytest.approx(float(row[f"cr{bits}"]), abs=0.51)


def test_skin_lies_along_plus_i():
    # +I of SMPTE RP 219: Cb 412, Cr 629 at 10 bits (reference: bars.csv).
    angle = np.radians(SKIN_DEGREES)
    assert np.tan(angle) == pytest.approx((629 - 512) / (412 - 512))
    assert 90.0 < SKIN_DEGREES < 180.0


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_every_colour_lies_where_bt709_says(red, green, blue):
    luma = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    cb, cr = chroma_of(np.array([red, green, blue]), Matrix.BT709)
    assert cb == pytest.approx((blue - luma) / 1.8556, abs=1e-12)
    assert cr == pytest.approx((red - luma) / 1.5748, abs=1e-12)


@pytest.mark.parametrize("gain", GAINS)
@pytest.mark.parametrize("bits", [8, 10])
def test_pixels_and_cells_agree(gain, bits):
    disc = Disc(Area(10, 20, 301, 301), gain)
    columns, rows = cells_of_pixels(disc, Signal(bits=bits))
    for code in (90, 128, 140):
        nominal = (code - 128) / 224.0
        x, y = disc.point(nominal, nominal)
        across, down = int(x - 10), int(y - 20)
        if 0 <= across < 301 and 0 <= down < 301:
            # A cell of several codes has its middle beside its first code.
            beside = 0.0 if bits == 8 else 0.375
            assert columns[across] == pytest.approx(code - beside, abs=1.0)
            assert rows[down] == pytest.approx(code - beside, abs=1.0)


def test_the_tolerance_ring_is_about_neutral():
    carried = CarriedCurve(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
    ring = tolerance_ring(published_gamut("BT.709"), THREE_STEPS, carried, Matrix.BT709)
    far = np.hypot(*ring.T)
    assert 0.001 < far.min() < far.max() < 0.02
    assert np.abs(ring.mean(axis=0)).max() < 0.002
