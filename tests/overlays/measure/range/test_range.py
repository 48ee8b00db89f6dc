"""The range: what matters, what does not, and what is left."""

import csv
import statistics
from dataclasses import replace

import numpy as np
import pytest

from overlays.measure.counting.bands import around, code_band
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.counting.clip import FlatTop
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.range.range import DARK_LEVELS, _peaks, range_at, read_range, share_in_band
from overlays.measure.range.range_reading import Extremes
from overlays.measure.range.tile_areas import Areas
from overlays.signal.frame import Frame
from overlays.signal.levels import Scale, percent_to_code
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent, stops
from overlays.signal.signal import Signal, Subsampling
from tests.clipped_frames import CEILINGS, clipped_frame
from tests.colour_frames import frame_of
from tests.places import REFERENCE

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


def noisy(seed, shift, stored=np.uint16):
    """A bright and a dark square with a code's noise, in codes stored so many bits further up."""
    rng = np.random.default_rng(seed)
    codes = np.full((360, 640), 400.0)
    codes[101:131, 203:233], codes[251:281, 403:433] = 700.0, 100.0
    luma = np.rint(codes + rng.normal(0.0, 0.4, codes.shape)).astype(stored) << shift
    chroma = np.full((180, 320), 512 << shift, stored)
    signal = Signal(10, subsampling=Subsampling.S420)
    frame = Frame((luma, chroma, chroma), signal, shift=shift)
    return frame, yardstick(signal, S_LOG3, shift=shift)


@pytest.mark.parametrize("shift", [0, 6])
@pytest.mark.parametrize("seed", range(6))
def test_the_window_lies_wholly_on_the_thing_whatever_the_noise(seed, shift):
    # 30 pixels against a window of 20: one that reached over the edge would read the ground too.
    reading = ranged(*noisy(seed, shift))
    for thing, (top, left) in ((reading.brightest, (101, 203)), (reading.darkest, (251, 403))):
        half = thing.size // 2
        assert left <= thing.column - half < thing.column + half <= left + 30
        assert top <= thing.row - half < thing.row + half <= top + 30
    assert reading.brightest.percent == pytest.approx((700 - 64) / 8.76, abs=0.05)
    assert reading.darkest.percent == pytest.approx((100 - 64) / 8.76, abs=0.05)


def test_a_frame_with_its_codes_in_the_upper_bits_reads_as_one_with_them_in_the_lower():
    """P010 as the kernel stores it ("Media Infrastructure userspace API", semi-planar YUV)."""
    plain, shifted = ranged(*noisy(3, 0)), ranged(*noisy(3, 6))
    assert plain == shifted


TILE, ACROSS = 3, 4
"""Of 360 x 640 pixels at a speck of 144 / 230400; every other window is looked at there."""


def tiled(shift, ninths):
    """Things of whole tiles on a ground: {(row, column, rows, columns) in tiles: codes and ninths}.

    Single ninths of a code are single pixels of a tile, as dither makes them.
    """
    tiles = np.full((120, 213), 9 * 400)
    for (row, column, rows, columns), level in ninths.items():
        tiles[row : row + rows, column : column + columns] = level
    pixels = tiles.repeat(TILE, axis=0).repeat(TILE, axis=1)
    order = np.tile(np.arange(9).reshape(3, 3), tiles.shape)
    luma = np.full((360, 640), 400, np.uint16)
    luma[:, : pixels.shape[1]] = pixels // 9 + (order < pixels % 9)
    signal = Signal(10, subsampling=Subsampling.S420)
    chroma = np.full((180, 320), 512, np.uint16) << shift
    frame = Frame((luma << shift, chroma, chroma), signal, shift=shift)
    yard = yardstick(signal, S_LOG3, shift=shift)
    return ranged(frame, yard, speck_percent=100.0 * 144 / 230400)


@pytest.mark.parametrize("shift", [0, 6])
@pytest.mark.parametrize(("level", "more"), [(9 * 700, 1), (9 * 200, -1)])
def test_of_windows_within_a_code_the_one_wholly_on_the_thing_is_taken(level, more, shift):
    # The thing is most extreme, by 8/9 of a code, along an edge that no full window can meet:
    # windows begin at even tiles, the thing at an odd one.
    reading = tiled(shift, {(20, 41, 12, 12): level, (20, 41, 12, 3): level + 8 * more})
    thing = reading.brightest if more > 0 else reading.darkest
    assert thing.size == TILE * ACROSS
    assert thing.column - thing.size // 2 >= 41 * TILE


@pytest.mark.parametrize("shift", [0, 6])
@pytest.mark.parametrize(("level", "more"), [(9 * 700, 1), (9 * 200, -1)])
def test_a_thing_two_codes_beyond_is_the_extreme_if_it_is_no_speck(level, more, shift):
    # 144 pixels are no speck; 108 are one, and matter no more than a hot pixel does.
    for across, is_thing in ((4, True), (3, False)):
        other = (80, 120, 4, across)
        reading = tiled(shift, {(20, 40, 12, 12): level, other: level + 18 * more})
        thing = reading.brightest if more > 0 else reading.darkest
        assert (thing.row > 79 * TILE) is is_thing


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


def measured(linear, bits=10, noise=0.0, curve="BT.709", **options):
    """The range of linear light, with every count, on a clip of 100 % for standard gamma."""
    frame = frame_of(linear, curve, bits, noise)
    clip = percent(100) if curve == "BT.709" else None
    yard = yardstick(frame.signal, published_curve(curve), clip=clip)
    census = take_census(frame, yard, Wants.LEVELS | Wants.CLIPPING | Wants.RGB)
    return read_range(frame, yard, census, **options)


@pytest.mark.parametrize("noise", [0.0, 1.0])
@pytest.mark.parametrize(
    ("rgb", "channel"),
    [([0.96, 0.55, 0.25], "R"), ([0.96, 0.4, 0.15], "R"), ([0.1, 0.2, 0.96], "B")],
)
def test_headroom_is_that_of_the_fullest_channel(rgb, channel, noise):
    # Issue 11 item 3: these walls read +0.56, +1.11 and +1.87 by their luminance.
    linear = np.full((360, 640, 3), 0.1)
    linear[100:260, 200:440] = rgb
    reading = measured(linear, noise=noise)
    assert reading.fullest == channel
    assert reading.headroom_stops == pytest.approx(-np.log2(0.96), abs=0.02)
    assert reading.clipped_channels == ""


def test_a_lamp_clipped_in_red_alone_leaves_no_headroom():
    linear = np.full((360, 640, 3), 0.1)
    linear[100:200, 100:200] = [1.0, 0.2, 0.1]
    linear[100:200, 300:400] = 0.9
    reading = measured(linear, noise=0.5)
    assert (reading.headroom_stops, reading.clipped_channels) == (0.0, "R")
    assert any("clipped (R)" in warning for warning in reading.warnings)


@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize("bits", [8, 10])
def test_a_thin_tube_is_a_thing(bits, upright):
    linear = np.full((1080, 1920, 3), 0.18)
    if upright:
        linear[103:903, 301:310] = 0.18 * 2.0**7
    else:
        linear[301:310, 403:1203] = 0.18 * 2.0**7
    reading = measured(linear, bits, noise=0.4 * 2 ** (bits - 8), curve="S-Log3")
    assert reading.brightest.stops == pytest.approx(7.0, abs=0.05)


def test_small_lamps_are_gathered_into_a_thing():
    rng = np.random.default_rng(1)
    linear = np.full((1080, 1920, 3), 0.18)
    for _ in range(150):
        row, column = rng.integers(0, 1070), rng.integers(0, 1910)
        linear[row : row + 9, column : column + 9] = 0.18 * 2.0**7
    reading = measured(linear, noise=1.0, curve="S-Log3")
    assert reading.brightest.stops == pytest.approx(7.0, abs=0.05)


def test_hot_pixels_are_specks():
    rng = np.random.default_rng(1)
    linear = np.full((1080, 1920, 3), 0.18)
    linear[500:700, 500:800] = 0.18 * 2.0**3
    linear[rng.integers(0, 1080, 300), rng.integers(0, 1920, 300)] = 60.0
    reading = measured(linear, noise=1.0, curve="S-Log3")
    assert reading.brightest.stops == pytest.approx(3.0, abs=0.02)


def test_a_ceiling_that_was_found_is_the_clip():
    frame = clipped_frame(0.05, 0.4)
    yard = yardstick(frame.signal, S_LOG3)
    census = take_census(frame, yard, Wants.LEVELS | Wants.CLIPPING | Wants.RGB)
    reading = read_range(frame, yard, census)
    assert reading.headroom_stops == 0.0
    assert reading.clipped_channels == "RGB"
    true = 100.0 * yard.carried.nominal(np.array(CEILINGS))
    assert reading.clip_percents == pytest.approx(true, abs=0.65)
    assert min(reading.clipped_rgb) > 0.03
    assert any("found from the picture" in warning for warning in reading.warnings)
    few = take_census(frame, yard, Wants.LEVELS | Wants.CLIPPING)
    assert read_range(frame, yard, few).clipped_rgb == pytest.approx(reading.clipped_rgb, abs=0.01)


def test_extremes_are_read_again_where_they_lie():
    frame = clipped_frame(0.05, 0.4)
    yard = yardstick(frame.signal, S_LOG3)
    counted = take_census(frame, yard, Wants.CLIPPING | Wants.RGB)
    first = read_range(frame, yard, counted)
    again = range_at(frame, yard, counted, Extremes.of(first))
    assert first.flat_top is not None
    assert replace(first, flat_top_here=None, peaks_percent=(0.0, 0.0, 0.0)) == again


def test_without_counts_of_r_g_b_what_the_census_has_at_the_clip_is_the_share():
    frame = clipped_frame(0.05, 0.4)
    yard = yardstick(frame.signal, S_LOG3)
    at = Extremes.of(ranged(frame, yard))
    counted = take_census(frame, yard.under(at.flat_top), Wants.CLIPPING)
    assert range_at(frame, yard, counted, at).clipped_rgb == tuple(counted.clipped / counted.pixels)


def test_a_ceiling_of_earlier_frames_counts_when_this_one_does_not_reach_it():
    linear = np.full((360, 640, 3), 0.18)
    linear[100:200, 100:200] = 0.18 * 2.0**3
    known = FlatTop((None, 85.0, None), 0.1)
    reading = measured(linear, noise=1.0, curve="S-Log3", known=known)
    carried = yardstick(SIGNAL, S_LOG3).carried
    assert reading.headroom_stops == pytest.approx(carried.percent_to_stops(85.0) - 3.0, abs=0.02)
    assert reading.fullest == "G"


def test_ceilings_of_a_moment_ago_are_taken_over():
    frame = clipped_frame(0.05, 0.8)
    yard = yardstick(frame.signal, S_LOG3)
    census = take_census(frame, yard, Wants.LEVELS | Wants.CLIPPING | Wants.RGB)
    looked = read_range(frame, yard, census)
    dark = frame_of(np.full((360, 640, 3), 0.18), "S-Log3")
    counted = take_census(dark, yard, Wants.LEVELS | Wants.CLIPPING | Wants.RGB)
    again = read_range(dark, yard, counted, known=looked)
    assert again.flat_top is looked.flat_top
    assert again.clip_percents == looked.clip_percents
    assert again.clipped_channels == ""
    assert again.headroom_stops == pytest.approx(min(again.headroom_rgb))


def test_tiles_of_the_darkest_thing_differ_by_a_third_of_a_stop_of_log():
    rows = list(csv.DictReader((REFERENCE / "curves.csv").read_text().splitlines()))
    slopes = [  # codes of 10 bits to a stop at mid-grey, by each curve's own carriage
        float(row["slope10_mid"])
        for row in rows
        if "og" in row["curve"] and (row["carriage"], row["carriage_is_spec"]) == ("full", "yes")
    ]
    assert len(slopes) > 6
    assert pytest.approx(statistics.median(slopes) / 3.0, rel=0.1) == DARK_LEVELS


def test_the_peak_of_a_channel_is_what_more_than_a_speck_reaches():
    """In tiles of 16 pixels: of 24, two tiles."""
    tiles = np.full((3, 6, 10), 100.0, np.float32)
    tiles[0, 0, :2], tiles[1, 3, 4], tiles[2, 5, :] = (500.0, 900.0), 900.0, 300.0
    areas = Areas(2, tiles, tiles[0], tiles, tiles, Scale(0.0, 1000.0, 1000), 960)
    found = [areas.level(each) for each in _peaks(areas, 24.0)]
    assert found == pytest.approx([500.0, 100.0, 300.0], abs=0.5)
