from dataclasses import replace

import pytest

from firmware.profiles.reasonable import level_problems
from overlays.measure.counting.bands import Band, BandKind, around
from overlays.signal.formulas import PureLog
from overlays.signal.levels import Carriage
from overlays.signal.log_curve import LogParameters, custom_curve
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent, stops
from overlays.signal.signal import Range

V_LOG = published_curve("V-Log")


def found(levels=None, bands=None, curve=V_LOG, quantisation=None):
    bands = dict(enumerate(bands or []))
    problems = level_problems(curve, None, quantisation, levels or {}, bands)
    return [(each.path, each.what) for each in problems]


def test_ordinary_levels_pass():
    levels = {"target": stops(0), "clip": stops(6), "floor": stops(-7)}
    bands = [around(stops(0), stops(0.2)), Band(BandKind.ABOVE, percent(85))]
    assert found(levels, bands) == []


@pytest.mark.parametrize("key", ["target", "clip", "floor"])
@pytest.mark.parametrize("level", [stops(20), percent(110), percent(-8)])
def test_levels_no_code_carries(key, level):
    ((path, what),) = found({key: level})
    assert path == key
    assert "lies outside what V-Log carries" in what


def test_full_range_ends_at_a_hundred_percent():
    assert found({"clip": percent(105)}) == []
    assert found({"clip": percent(105)}, quantisation=Range.FULL) != []


def test_limits_in_the_wrong_order():
    paths = [path for path, _ in found({"floor": stops(2), "target": stops(1), "clip": stops(0)})]
    assert paths == ["floor", "floor", "target"]


def test_a_band_between_two_codes():
    ((path, what),) = found(bands=[around(stops(-30), stops(0.001))])
    assert path == "stripes[1]"
    assert "holds no code" in what


def test_a_ceiling_below_a_floor_stripes_everything():
    bands = [Band(BandKind.BELOW, percent(95)), Band(BandKind.ABOVE, stops(-5))]
    ((path, what),) = found(bands=bands)
    assert path == "stripes[2]"
    assert "the whole picture" in what


def test_parameters_that_leave_every_number_are_told():
    # Such a curve can no longer be made of parameters, so this one is put together.
    formula = PureLog(2.0, 1e308, 0.0, 1e308, 0.0)
    absurd = replace(custom_curve("absurd", LogParameters()), formula=formula)
    ((path, _),) = found(curve=absurd)
    assert path == "curve"


def test_carriage_decides_where_stops_lie():
    high = {"clip": stops(7.5)}
    curve = published_curve("LogC3")
    assert level_problems(curve, Carriage.FULL, None, high, {}) == []
    assert level_problems(curve, Carriage.NARROW, None, {"clip": stops(12)}, {}) != []
