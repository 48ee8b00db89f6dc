"""Ratios by arithmetic (tests/reference/exposure.csv), evenness on made falls of light."""

import csv
import math
from dataclasses import replace

import numpy as np
import pytest

from overlays.errors import SpotOutsideError
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.pins.lighting import Ratio, all_ratios, ratio_of, read_evenness
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal, Subsampling
from overlays.wording.reasons import Bound
from tests.colour_frames import card, frame_of
from tests.places import REFERENCE

TABLE = REFERENCE / "exposure.csv"


def rows():
    with TABLE.open() as file:
        return [row for row in csv.DictReader(file) if row["section"] == "lighting_ratio"]


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["nominal"])
def test_a_ratio_is_its_stops(row):
    found = Ratio(float(row["stops"]), 0.01)
    assert found.ratio == pytest.approx(float(row["exact"]), rel=1e-4)
    assert found.spoken == row["nominal"]
    if "key alone is" in row["extra"]:
        key = float(row["extra"].split("key alone is ")[1].split()[0])
        assert found.key_over_fill_stops == pytest.approx(key, abs=1e-3)
    else:
        assert found.key_over_fill_stops is None or row["nominal"] == "1:1"


def reading(light, curve="V-Log"):
    frame = frame_of(card([light] * 3), curve, noise=0.8)
    yard = yardstick(frame.signal, published_curve(curve))
    return read_spot(frame, yard, SpotPlace(32, 32, 32))


def test_the_difference_of_two_pins():
    one, other = reading(0.36), reading(0.09)
    found = ratio_of(one, other)
    assert found.stops == pytest.approx(2.0, abs=0.01)
    assert found.spoken == "4:1"
    # Noise, which is nearly all there is, adds in squares, and what is none of it by a little more.
    squares = math.hypot(one.stops_pm, other.stops_pm)
    assert squares < found.pm < 1.05 * squares
    assert ratio_of(other, one).spoken == "1:4"
    assert ratio_of(other, one).key_over_fill_stops is None


def test_every_pair_once():
    pins = {3: reading(0.1), 1: reading(0.2), 7: reading(0.4)}
    found = all_ratios(pins)
    assert list(found) == [(1, 3), (1, 7), (3, 7)]
    assert found[1, 7].stops == pytest.approx(-1.0, abs=0.01)


def test_no_ratio_without_light():
    dark = replace(reading(0.1), stops=None, stops_pm=None)
    assert ratio_of(dark, reading(0.2)) is None
    unbounded = replace(reading(0.1), stops_pm=None)
    assert ratio_of(unbounded, reading(0.2)).pm is None


def even(light, place, **options):
    frame = frame_of(light, "V-Log", noise=0.8)
    yard = yardstick(frame.signal, published_curve("V-Log"))
    return read_evenness(frame, yard, place, **options)


AREA = SpotPlace(80, 48, 144, 80)


def test_an_even_surface():
    found = even(card([0.1, 0.4, 0.08], 96, 160), AREA)
    assert found.map_stops.shape == (6, 12)
    assert found.spread_stops < 0.03
    assert np.nanmax(np.abs(found.map_stops)) < 0.03
    assert found.warnings == ()


def test_a_fall_of_light_has_its_map_and_its_figure():
    fall = 0.2 * 2.0 ** -np.linspace(0.0, 1.0, 160)[None, :, None]
    found = even(np.broadcast_to(fall * [0.25, 1.0, 0.2], (96, 160, 3)), AREA)
    # Cells are 12 pixels wide, so the outermost means lie 132 pixels of 159 apart.
    assert found.spread_stops == pytest.approx(132.0 / 159.0, abs=0.02)
    assert found.spread_pm < 0.05
    # A fall of one stop over 160 pixels, cells of 12: the mean of 12 cells of 2**-x by arithmetic.
    means = 2.0 ** -((14.0 + 12.0 * np.arange(12)) / 159.0)
    expected = max(abs(np.log2(means / means.mean())))
    assert found.within_stops == pytest.approx(expected, abs=0.02)
    assert 0.0 < found.within_pm < 0.05
    assert found.furthest in {found.brightest, found.darkest}
    assert abs(found.map_stops[found.furthest]) == found.within_stops
    assert found.brightest[1] == 0
    assert found.darkest[1] == 11
    steps = np.diff(found.map_stops, axis=1)
    assert np.all(steps < 0.0)


def test_a_hot_spot_is_found_where_it_is():
    light = np.full((96, 160, 3), 0.2)
    light[60:72, 100:112] = 0.4
    found = even(light, AREA)
    row, column = found.brightest
    assert 8 + row * 80 / 6 <= 66 < 8 + (row + 1) * 80 / 6
    assert 8 + column * 12 <= 106 < 8 + (column + 1) * 12
    assert 0.5 < found.spread_stops <= 1.02  # the cells do not lie on its edges


def test_cells_fill_the_area_without_overlap():
    place = SpotPlace(79, 47, 141, 83)
    found = even(card([0.2] * 3, 96, 160), place, cells=5)
    covered = np.zeros((96, 160), int)
    rows, columns = found.map_stops.shape
    for row in range(rows):
        for column in range(columns):
            cell = found.cell(row, column)
            covered[cell.top : cell.top + cell.rows, cell.left : cell.left + cell.size] += 1
    inside = covered[place.top : place.top + place.rows, place.left : place.left + place.size]
    assert (inside == 1).all()
    assert covered.sum() == inside.sum()


def test_what_cannot_be_said_is_not_said():
    light = np.full((96, 160, 3), 0.2)
    light[:, 90:] = 0.0
    found = even(light, AREA)
    assert found.spread_stops is None
    assert found.within_stops is None
    assert found.furthest == found.darkest
    assert "no light" in found.warnings[0]
    frame = frame_of(np.full((96, 160, 3), 1.2), "BT.709")
    yard = yardstick(frame.signal, published_curve("BT.709"))
    assert "clipped" in read_evenness(frame, yard, AREA).warnings[0]


def test_where_one_part_is_clipped_and_another_has_no_light_nothing_is_said_of_all():
    light = np.full((96, 160, 3), 0.2)
    light[:, 90:], light[:, :40] = 0.0, 500.0
    found = even(light, AREA)
    assert (found.within_stops, found.spread_stops) == (None, None)
    assert any("is clipped" in each for each in found.warnings)
    assert any("no light" in each for each in found.warnings)


def test_an_area_must_be_in_the_picture_and_large_enough():
    with pytest.raises(SpotOutsideError):
        even(card([0.2] * 3, 96, 160), SpotPlace(150, 48, 40, 40))
    with pytest.raises(SpotOutsideError, match="too small"):
        even(card([0.2] * 3, 96, 160), SpotPlace(80, 48, 5, 5))


@pytest.mark.parametrize("size", [(300, 12), (12, 300), (300, 48), (8, 4)])
def test_a_flat_area_has_one_row_of_cells_and_a_narrow_one_a_column(size):
    wide, high = size
    plane = np.full((320, 320), 120, np.uint8)
    grey = np.full((320, 320), 128, np.uint8)
    signal = Signal(subsampling=Subsampling.S444)
    frame = Frame((plane, grey, grey), signal)
    yard = yardstick(signal, published_curve("BT.709"))
    even = read_evenness(frame, yard, SpotPlace(160, 160, wide, high), 12)
    assert min(even.map_stops.shape) == 1 or (wide, high) == (300, 48)
    assert even.within_stops == pytest.approx(0.0, abs=1e-9)


def test_an_area_too_small_for_two_cells_says_what_is_enough():
    plane = np.full((32, 32), 120, np.uint8)
    signal = Signal(subsampling=Subsampling.S444)
    frame = Frame((plane, plane, plane), signal)
    yard = yardstick(signal, published_curve("BT.709"))
    for wide, high in ((6, 6), (30, 2)):
        with pytest.raises(SpotOutsideError, match="8 pixels one way and 4 the other"):
            read_evenness(frame, yard, SpotPlace(16, 16, wide, high), 12)


def test_an_area_that_may_be_clipped_in_part_has_its_figure_and_no_pm():
    light = np.full((96, 160, 3), 1.0)
    light[:, 90:] = 2.0
    frame = frame_of(light, "V-Log")
    top = float(frame.planes[0].max() - 64) / 8.76
    yard = yardstick(frame.signal, published_curve("V-Log")).under(None, (top,) * 3)
    found = read_evenness(frame, yard, AREA)
    assert found.spread_stops == pytest.approx(1.0, abs=0.02)
    assert (found.within_pm, found.spread_pm) == (None, None)
    assert found.warnings == ("part of the area may be clipped: it may be less even than it reads",)


@pytest.mark.parametrize(
    ("stops", "pm", "is_told"),
    [
        (3e-14, 0.01, False),
        (0.02, 0.03, False),
        (0.004, None, False),
        (1.0, None, False),
        (0.04, 0.03, False),  # the key would be anything from -7.2 to -4.3 over the fill
        (0.06, 0.042, False),
        (0.3, 0.04, True),
        (0.04, 0.005, True),
        (0.004, 0.0, False),  # what reads "like pin 1"
    ],
)
def test_pins_that_are_alike_have_no_key_over_a_fill(stops, pm, is_told):
    # Found by the sweep of sentences: -45 stops, of two pins that differ by what floats round.
    assert (Ratio(stops, pm).key_over_fill_stops is not None) is is_told


@pytest.mark.parametrize(("stops", "is_told"), [(0.06, False), (0.9, False), (1.0, True)])
def test_beside_a_bound_a_key_is_told_of_a_stop_or_more(stops, is_told):
    key = Ratio(stops, None, Bound.AT_LEAST).key_over_fill_stops
    assert (key is not None) is is_told


@pytest.mark.parametrize(
    ("curve", "bits", "noise", "edge"),
    [
        ("BT.709", 10, 4.0, 120),
        ("V-Log", 8, 1.0, 72),
        ("V-Log", 10, 2.0, 240),
        ("V-Log", 8, 0.0, 120),
    ],
)
@pytest.mark.parametrize("fall", [0.0, 0.02, 0.5])
def test_the_half_widths_of_evenness_cover_though_the_cells_were_chosen(
    curve, bits, noise, edge, fall
):
    # A surface of one light, or one that falls by so many stops from side to side. What the two
    # outermost of 144 cells truly are apart is the mean of light over their columns, by arithmetic.
    rng = np.random.default_rng(4)
    across = 2.0 ** -np.linspace(0.0, fall, edge)
    columns = np.log2(across.reshape(12, -1).mean(axis=1) / across.mean())
    spreads, withins = [], []
    for seed in range(12):
        light = 0.18 * 2.0 ** rng.uniform(-0.3, 0.3) * across
        frame = frame_of(np.tile(light[None, :, None], (edge, 1, 3)), curve, bits, noise, seed)
        yard = yardstick(frame.signal, published_curve(curve))
        found = read_evenness(frame, yard, SpotPlace(edge // 2, edge // 2, edge))
        spreads.append(abs(found.spread_stops - np.ptp(columns)) / found.spread_pm)
        withins.append(abs(found.within_stops - np.abs(columns).max()) / found.within_pm)
        # What is truly uneven reads so: it stands out of its own ±.
        if fall == 0.5:
            assert found.spread_stops > found.spread_pm
            assert found.within_stops > found.within_pm
    assert max(spreads) <= 1.0
    assert max(withins) <= 1.0
    # And the ± is no wider than twice what an even surface under noise needs.
    if noise and not fall:
        assert max(spreads) >= 0.5
        assert max(withins) >= 0.5


@pytest.mark.parametrize("curve", ["S-Log3", "V-Log", "BT.709"])
@pytest.mark.parametrize(("bits", "noise"), [(8, 0.0), (8, 0.2), (10, 2.0)])
def test_the_half_width_of_a_ratio_covers_where_rounding_is_all_there_is(curve, bits, noise):
    rng = np.random.default_rng(6)
    needs = []
    for seed in range(200):
        stops = rng.uniform(-2.0, 2.0, 2)
        light = np.repeat(0.18 * 2.0**stops, 24)[None, :, None]
        frame = frame_of(np.tile(light, (24, 1, 3)), curve, bits, noise, seed)
        yard = yardstick(frame.signal, published_curve(curve))
        one, other = (read_spot(frame, yard, SpotPlace(x, 12, 20)) for x in (12, 36))
        found = ratio_of(one, other)
        needs.append(abs(found.stops - (stops[0] - stops[1])) / found.pm)
    # 95 of 100, less what counting 200 of them may miss it by in 95 of 100 counts.
    assert (np.array(needs) <= 1.0).mean() >= 0.95 - 1.645 * math.sqrt(0.05 * 0.95 / 200)
    assert np.quantile(needs, 0.95) >= 0.4
