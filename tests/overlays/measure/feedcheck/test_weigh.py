import numpy as np
import pytest

from overlays.measure.feedcheck.predictions import half_a_step, predictions
from overlays.measure.feedcheck.readings import CodeReading, What
from overlays.measure.feedcheck.tolerances import CARD_STOPS, SLACK_CODES, SURE_HALF_WIDTHS
from overlays.measure.feedcheck.weigh import _outside, _shares, weigh

BITS = 10
EXPECTED = predictions(BITS, CARD_STOPS)


def exactly(index, pm=0.2, **off):
    return {
        What.CAP: CodeReading(float(EXPECTED.black[index]) + off.get("cap", 0.0), pm),
        What.CARD: CodeReading(float(EXPECTED.grey[index]) + off.get("card", 0.0), pm),
        What.CLIP: CodeReading(float(EXPECTED.clip[1][index]), 1.0),
    }


@pytest.mark.parametrize("index", range(0, len(EXPECTED.hypotheses), 9))
def test_what_is_expected_exactly_is_possible_and_shares_add_up(index):
    found = weigh(exactly(index), EXPECTED)
    assert found.possible[index]
    # The code of 18 % may lie between two lights of the card that are tried.
    assert found.beyond[index] < 0.5
    assert found.probability.sum() == pytest.approx(1.0)
    assert (found.probability >= 0.0).all()


def test_the_farther_off_the_less_likely_until_it_is_out():
    index = next(n for n, d in enumerate(EXPECTED.hypotheses) if d.curve.name == "S-Log3")
    shares = []
    for off in (0.0, 13.0, 14.0, 16.0):
        found = weigh(exactly(index, card=off), EXPECTED)
        shares.append(float(found.probability[index]))
    assert shares == sorted(shares, reverse=True)
    assert not weigh(exactly(index, card=20.0), EXPECTED).possible[index]
    assert not weigh(exactly(index, cap=40.0), EXPECTED).possible[index]


def test_a_wide_half_width_rules_out_less():
    index = 0
    sharp = weigh(exactly(index, 0.1), EXPECTED).possible
    blurred = weigh(exactly(index, 8.0), EXPECTED).possible
    assert (blurred | ~sharp).all()
    assert np.count_nonzero(blurred) > np.count_nonzero(sharp)


def test_a_reading_is_ruled_out_beyond_all_that_it_may_be_off_by_together():
    """Twice its ±, the slack, rounding, and half of a step between the lights that were tried."""
    low, high, rounding = np.array([[100.0, 102.0]]), np.array([[101.0, 103.0]]), np.array([[0.5]])
    most = SURE_HALF_WIDTHS * 0.3 + SLACK_CODES + 0.5 + 1.0

    def fits(code):
        return _outside(
            CodeReading(code, 0.3), (low, high), rounding, half_a_step(low)
        ).fits.tolist()

    assert fits(101.0) == [[True, True]]
    assert fits(103.0 + most - 0.01) == [[False, True]]
    assert fits(103.0 + most + 0.01) == [[False, False]]
    assert fits(100.0 - most + 0.01) == [[True, False]]
    assert fits(100.0 - most - 0.01) == [[False, False]]


@pytest.mark.parametrize("far", [1.0, 100.0, 1000.0, 1e5])
def test_shares_are_to_the_last_digit_those_that_count_hypotheses_far_off_too(far):
    dice = np.random.default_rng(3)
    together = -far * dice.exponential(size=(200, 41)) ** 2
    cap, clip = -far * dice.exponential(size=(2, 200))
    peak = together.max(axis=1)
    likely = peak + np.log(np.mean(np.exp(together - peak[:, None]), axis=1)) + cap + clip
    shares = np.exp(likely - likely.max())
    assert _shares(together, cap, clip).tolist() == (shares / shares.sum()).tolist()
