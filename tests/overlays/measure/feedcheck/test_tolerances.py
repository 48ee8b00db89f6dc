from statistics import NormalDist

import pytest

from overlays.measure.feedcheck import tolerances


def test_figures_that_are_derived_are_what_they_are_derived_from():
    assert abs(tolerances.CARD_STOPS - 0.1704) < 1e-4
    # 0.90 / 0.18 is 2.32 stops (tests/reference/exposure.csv gives the sum).
    assert abs(tolerances.CLIP_LEAST_STOPS - (2.3219 - 0.1704)) < 1e-3
    assert abs(tolerances.CAP_LIGHT - 2.5 * 0.0004) < 1e-9


def test_a_hypothesis_is_given_up_at_four_deviations():
    """A half width at 95 % is two of them, near enough; beyond four lies one in 16 000."""
    assert 2.0 * NormalDist().cdf(-2.0 * tolerances.SURE_HALF_WIDTHS) == pytest.approx(
        1.0 / 16_000, rel=0.02
    )
