"""The range: what matters, what does not, and what is left."""

import numpy as np
import pytest

from overlays.measure.counting.bands import around, code_band
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.range.range import read_range, share_in_band
from overlays.signal.frame import Frame
from overlays.signal.levels import percent_to_code
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent, stops
from overlays.signal.signal import Signal, Subsampling

S_LOG3 = published_curve("S-Log3")
SIGNAL = Signal(10, subsampling=Subsampling.S444)


def scene(things, background=0.0, rows=360, columns=640, curve=S_LOG3):
    """A flat frame with squares: (row, column, edge, stops)."""
    yard = yardstick(SIGNAL, curve)

    def code(level):
        return round(percent_to_code(yard.carried.stops_to_percent(level), SIGNAL))

    luma = np.full((rows, columns), code(background), np.uint16)
    for row, column, edge, level in things:
        luma[row : row + edge, column : column + edge] = code(level)
    chroma = np.full((rows, columns), 512, np.uint16)
    return Frame((luma, chroma, chroma), SIGNAL), yard


def ranged(frame, yard, **options):
    census = take_census(frame, yard, Wants.LEVELS | Wants.CLIPPING)
    return read_range(frame, yard, census, **options)


def test_finds_the_extremes_and_the_room_around_them():
    frame, yard = scene([(40, 60, 40, 4.0), (200, 300, 40, -4.0)])
    reading = ranged(frame, yard)
    assert reading.brightest.stops == pytest.approx(4.0, abs=0.02)
    assert reading.darkest.stops == pytest.approx(-4.0, abs=0.08)
    assert 60 <= reading.brightest.column <= 100
    assert 200 <= reading.darkest.row <= 240
    assert reading.headroom_stops == pytest.approx(yard.clip_stops - reading.brightest.stops)
    assert reading.footroom_stops == pytest.approx(reading.darkest.stops - yard.floor_stops)


def test_specks_do_not_matter():
    frame, yard = scene([(40, 60, 40, 3.0), (100, 100, 4, 7.0), (150, 350, 4, -5.0)])
    reading = ranged(frame, yard)
    assert reading.brightest.stops == pytest.approx(3.0, abs=0.02)
    assert reading.darkest.stops == pytest.approx(0.0, abs=0.02)


def test_the_size_of_a_speck_is_the_profiles():
    frame, yard = scene([(40, 60, 40, 3.0), (100, 100, 12, 6.0)])
    assert ranged(frame, yard, speck_percent=0.02).brightest.stops == pytest.approx(6.0, abs=0.02)
    assert ranged(frame, yard, speck_percent=0.3).brightest.stops == pytest.approx(3.0, abs=0.02)


def test_a_clipped_thing_leaves_no_headroom():
    frame, yard = scene([(40, 60, 60, 20.0)])
    frame.planes[0][40:100, 60:120] = 1023
    reading = ranged(frame, yard)
    assert reading.headroom_stops == 0.0
    assert any("clipped" in w for w in reading.warnings)
    assert reading.clipped_rgb == pytest.approx((3600 / 230400,) * 3)


def test_what_cannot_be_known_is_none_with_a_reason():
    frame, yard = scene([(40, 60, 60, 0.0)])
    frame.planes[0][40:100, 60:120] = 40
    reading = ranged(frame, yard)
    assert reading.darkest.stops is None
    assert reading.footroom_stops is None
    assert any("footroom unknown" in w for w in reading.warnings)


def test_share_in_band_is_exact():
    frame, yard = scene([(0, 0, 100, 2.0)])
    census = take_census(frame, yard, Wants.LEVELS | Wants.CLIPPING)
    band = code_band(around(stops(2.0), stops(0.2)), yard)
    assert share_in_band(census, band, yard) == pytest.approx(10000 / 230400)
    assert ranged(frame, yard, band=band).in_band == pytest.approx(10000 / 230400)


@pytest.mark.parametrize(("rows", "columns"), [(2, 2), (3, 5), (2, 40)])
def test_tiny_pictures_are_measured_too(rows, columns):
    luma = np.full((rows, columns), 500, np.uint16)
    chroma = np.full((rows, columns), 512, np.uint16)
    frame = Frame((luma, chroma, chroma), SIGNAL)
    yard = yardstick(SIGNAL, S_LOG3, clip=percent(100))
    assert ranged(frame, yard).brightest.percent == pytest.approx((500 - 64) / 8.76)
