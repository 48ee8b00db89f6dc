"""Telling which way a chart is held."""

import numpy as np
import pytest

from overlays.errors import ChartNotFoundError, ChartTurnedError
from overlays.measure.chart.reference import BENCH_CHART, CHART24
from overlays.measure.chart.turn import ChartHeld, Turn, best_turn, held, likeness, pattern, settle
from overlays.signal.gamuts import published_gamut
from tests.chart_frames import turned, upright

LINEAR = CHART24.xyz @ published_gamut("BT.709").from_xyz.T
NONSENSE = np.random.default_rng(3).uniform(0.02, 0.9, (24, 3))


def seen(order):
    """The reference as a warm, dim camera would show it, in another order."""
    return (LINEAR * (0.5, 0.35, 0.2)).reshape(4, 6, 3)[order].reshape(-1, 3)


@pytest.mark.parametrize(
    ("order", "quarters", "mirrored"),
    [
        (np.s_[:, :], 0, False),
        (np.s_[::-1, ::-1], 2, False),
        (np.s_[:, ::-1], 0, True),
        (np.s_[::-1, :], 2, True),
    ],
)
@pytest.mark.parametrize("quarter", [0, 1])
def test_every_way_is_told(order, quarters, mirrored, quarter):
    reads = [NONSENSE, NONSENSE]
    reads[quarter] = seen(order)
    turn = best_turn(CHART24, LINEAR, *reads)
    assert (turn.quarters, turn.mirrored) == (quarters + quarter, mirrored)
    # The light scales whole channels, which the pattern does not see but for the darkest patches.
    assert turn.likeness > 0.97


def test_likeness_is_a_correlation():
    assert likeness(pattern(LINEAR), pattern(LINEAR * 0.3)) > 0.99
    assert likeness(pattern(LINEAR), -pattern(LINEAR)) == pytest.approx(-1.0)
    assert likeness(pattern(LINEAR), pattern(np.ones((24, 3)))) == 0.0
    other = BENCH_CHART.xyz @ published_gamut("BT.709").from_xyz.T
    assert likeness(pattern(LINEAR), pattern(other)) < 0.8


def test_held_follows_the_turn():
    assert held(upright()) is ChartHeld.UPRIGHT
    assert held(turned(upright(), 20.0)) is ChartHeld.UPRIGHT
    assert held(turned(upright(), 90.0)) is ChartHeld.ON_ITS_SIDE
    assert held(turned(upright(), -90.0)) is ChartHeld.ON_ITS_SIDE
    assert held(turned(upright(), 180.0)) is ChartHeld.UPSIDE_DOWN


def test_settle_speaks_up():
    assert settle(CHART24, upright(), Turn(1, False, 0.95)) == upright().turned(1)
    with pytest.raises(ChartTurnedError, match=r"upside down \(black 2 is at the upper left\)"):
        settle(CHART24, upright(), Turn(2, False, 0.95))
    with pytest.raises(ChartTurnedError, match="mirrored"):
        settle(CHART24, upright(), Turn(0, True, 0.95))
    with pytest.raises(ChartNotFoundError, match=r"0\.40 of 1"):
        settle(CHART24, upright(), Turn(0, False, 0.4))
