"""The makes of the 24-patch chart, against colour-science's own tables."""

import colour
import numpy as np
import pytest

from overlays.measure.chart.editions import BEFORE_2014, EDITIONS, FIRST, SINCE_2014, chosen_edition
from overlays.measure.chart.reference import BENCH_CHART, CHART24

D65 = (0.3127, 0.3290)


@pytest.mark.parametrize(("make", "when"), [(BEFORE_2014, "Before"), (SINCE_2014, "After")])
def test_figures_are_those_that_colour_science_carries(make, when):
    (name,) = (n for n in colour.CCS_COLOURCHECKERS if f"24 - {when} November 2014" in n)
    table = colour.CCS_COLOURCHECKERS[name]
    xyz = colour.xyY_to_XYZ(np.array(list(table.data.values())))
    white = colour.xy_to_XYZ(table.illuminant)
    wanted = colour.adaptation.chromatic_adaptation_VonKries(
        xyz, white, colour.xy_to_XYZ(D65), "Bradford"
    )
    np.testing.assert_allclose(make.xyz, wanted, atol=2e-5)
    assert make.neutrals == CHART24.neutrals


def test_makes_are_apart_by_what_the_issue_measured():
    apart = colour.delta_E(BEFORE_2014.lab, SINCE_2014.lab, method="CIE 2000").mean()
    assert 0.8 < apart < 1.6


def test_what_fits_best_is_taken_and_said():
    left = {id(FIRST): 2.0, id(BEFORE_2014): 1.1, id(SINCE_2014): 0.6}
    found = chosen_edition(CHART24, lambda make: left[id(make)])
    assert found.reference is SINCE_2014
    assert "made since November 2014, which fits best" in found.words
    assert "0.6" in found.words
    assert "1.1" in found.words
    left[id(BEFORE_2014)] = 0.7
    assert "little better" in chosen_edition(CHART24, lambda make: left[id(make)]).words


@pytest.mark.parametrize("told", [*EDITIONS.values(), BENCH_CHART])
def test_what_is_told_is_kept_without_a_word(told):
    found = chosen_edition(told, lambda _: 0.0)
    assert found.reference is told
    assert found.words == ""
