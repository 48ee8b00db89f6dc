import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.errors import CurveParameterError
from overlays.signal.published import published_curve
from overlays.signal.tabled import _grid, tabled_curve


@pytest.mark.parametrize("name", ["V-Log", "HLG", "BT.709", "PQ"])
def test_points_of_a_published_curve_give_it_back(name):
    source = published_curve(name)
    stops = np.arange(-6.0, 2.4, 1.0 / 3.0)
    values = tuple(float(v) for v in np.asarray(source.stops_to_value(stops)))
    made = tabled_curve("made", tuple(map(float, stops)), values, float(source.encode(0.0)))
    between = np.linspace(-5.9, 1.9, 400)
    off = np.asarray(made.value_to_stops(np.asarray(source.stops_to_value(between)))) - between
    assert np.abs(off).max() < 0.012


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(0.05, 1.0), min_size=3, max_size=12),
    st.lists(st.floats(0.002, 0.2), min_size=12, max_size=12),
)
def test_any_rising_points_make_a_curve_that_rises_and_goes_both_ways(gaps, rises):
    stops = tuple(float(v) for v in np.cumsum(gaps) - 6.0)
    values = tuple(float(v) for v in np.cumsum(rises[: len(gaps)]) + 0.1)
    made = tabled_curve("made", stops, values, 0.05)
    light = 0.18 * 2.0 ** np.linspace(stops[0] - 3.0, stops[-1] + 1.0, 300)
    signal = np.asarray(made.encode(light))
    assert (np.diff(signal) > 0.0).all()
    assert np.asarray(made.decode(signal)) == pytest.approx(light, rel=1e-6)
    assert made.encode(0.0) == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("stops", "values", "black"),
    [
        ((0.0, 1.0), (0.1, 0.2), 0.0),
        ((0.0, 1.0, 2.0), (0.1, 0.2), 0.0),
        ((0.0, 2.0, 1.0), (0.1, 0.2, 0.3), 0.0),
        ((0.0, 1.0, 2.0), (0.1, 0.1, 0.3), 0.0),
        ((0.0, 1.0, 2.0), (0.1, 0.2, 0.3), 0.2),
        ((0.0, 1.0, 99.0), (0.1, 0.2, 0.3), 0.0),
    ],
)
def test_points_that_make_no_curve_are_refused(stops, values, black):
    with pytest.raises(CurveParameterError):
        tabled_curve("made", stops, values, black)


def test_nodes_that_are_kept_cannot_be_spoilt():
    for kept in _grid((-2.0, 0.0, 2.0), (0.2, 0.4, 0.6)):
        with pytest.raises(ValueError, match="read-only"):
            kept[0] = 1.0
