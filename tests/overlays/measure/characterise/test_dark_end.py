"""The dark end of a curve with all of it open: what moves it, and what holds it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.characterise.dark_end import dark_end
from overlays.measure.characterise.smooth import BENT
from overlays.signal.published import published_curve

NOISE, BLACK = 0.0008, 64.0
DARK = dark_end(NOISE, top=0.02)


def begun(power=1.0):
    """A power of light, 6000 codes to the light of 1."""
    return DARK.start(np.log2(6000.0) + power * np.log2(0.18 * 2.0**DARK.nodes), BLACK)


def test_cells_lie_about_black_on_either_side_and_are_narrow_there():
    widths = np.diff(DARK.edges)
    assert (widths > 0.0).all()
    assert DARK.edges[0] < -6.0 * NOISE
    assert DARK.edges[-1] == pytest.approx(0.02)
    assert 0.0 in DARK.edges
    assert widths.min() <= 0.001 * NOISE
    assert widths[np.abs(DARK.edges[:-1]) < NOISE].max() < 0.05 * NOISE


@given(st.integers(0, DARK.count - 1), st.floats(0.3, 1.0))
def test_slopes_are_those_of_what_moves(place, power):
    at, by = begun(power), np.zeros(DARK.count)
    by[place] = 1e-5
    stops = np.array([-9.2, -7.0, -5.4, -4.0])
    (up, slopes), (down, _) = DARK.above(at + by), DARK.above(at - by)
    told, _ = DARK.above(at)
    assert slopes[:, place] == pytest.approx((up - down) / 2e-5, abs=1e-4 * np.abs(told).max())
    (up, slopes), (down, _) = DARK.codes(at + by, stops), DARK.codes(at - by, stops)
    assert slopes[:, place] == pytest.approx((up - down) / 2e-5, rel=1e-4, abs=1e-3)


def test_what_is_sent_below_black_is_as_much_as_above_it_before_anything_is_seen():
    above, _ = DARK.above(begun(0.5))
    light = 0.5 * (DARK.edges[1:] + DARK.edges[:-1])
    assert above == pytest.approx(np.sign(light) * 6000.0 * np.abs(light) ** 0.5, rel=1e-9)


def test_where_no_part_of_it_is_sent_it_ends_at_black():
    at = begun()
    at[DARK.black + 1 :] = 0.0
    above, _ = DARK.above(at)
    assert (above[DARK.edges[1:] <= 0.0] == 0.0).all()


@pytest.mark.parametrize("curve", ["HLG", "PQ", "BT.1886", "LogC4", "BT.709"])
def test_published_curves_lie_on_it_to_a_hundredth_of_a_code_and_bend_little(curve):
    """Straight lines from node to node stand for what lies between them; 255 codes a curve."""
    found = published_curve(curve)
    black = float(found.encode(0.0))
    levels = np.log2(255.0 * (np.asarray(found.stops_to_value(DARK.nodes)) - black))
    at, stops = DARK.start(levels, 255.0 * black), np.linspace(-10.0, -4.0, 50)
    codes, _ = DARK.codes(at, stops)
    assert codes == pytest.approx(255.0 * np.asarray(found.stops_to_value(stops)), abs=0.02)
    levels_only = np.append(levels, np.zeros(DARK.count - len(levels)))
    assert levels_only @ DARK.held() @ levels_only < 2.0 * len(DARK.nodes)


def test_a_bend_of_one_deviation_counts_as_one():
    bent = np.zeros(DARK.count)
    bent[: DARK.black] = 0.5 * BENT * DARK.nodes**2
    assert bent @ DARK.held() @ bent == pytest.approx(len(DARK.nodes) - 2)


def test_kinks_are_no_strain_and_bends_all_along_are():
    at = begun()
    at[5] += 3.0 * BENT / 9.0
    assert DARK.strain(at) == pytest.approx(9.0)  # of 3, -6 and 3 the sharpest two are left out
    at[: DARK.black] += 0.5 * BENT * DARK.nodes**2
    assert DARK.strain(at) > len(DARK.nodes) - 6
