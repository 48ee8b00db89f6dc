"""The likeliest dark end: found from near it, as sure as it says, strained by what is not so.

Samples are drawn one by one: three channels of normal noise before a known curve, luma, rounded.
"""

import numpy as np
import pytest

from overlays.measure.characterise.dark_end import dark_end
from overlays.measure.characterise.likeliest_end import EndSearch
from overlays.measure.characterise.shared_out import binned
from overlays.measure.feedcheck.readings import Tally
from tests.made_cameras import WEIGHTS

NOISE = 0.0008
STOPS = np.arange(-9.0, -4.5, 1.0 / 3.0)
LIGHT = np.append(0.0, 0.18 * 2.0**STOPS)
SIZES = np.sqrt(NOISE**2 + 0.0004 * LIGHT)
DARK = dark_end(NOISE, LIGHT[-1] + 6.5 * SIZES[-1])


def codes_of(light, power):
    """A power of light over a black of 40, as steep through black."""
    return 40.0 + np.sign(light) * 400.0 * 0.05 ** (1.0 - power) * np.abs(light) ** power


def sought(power, seed, count=4000, off=0.0, send=1.0):
    """The search over samples of such a curve, one step `off` by so many stops."""
    rng = np.random.default_rng([seed, 77])
    light = LIGHT.copy()
    light[7] *= 2.0**off
    lit = light[:, None, None] + SIZES[:, None, None] * rng.normal(size=(len(light), 3, count))
    sent = codes_of(lit, power)
    sent = np.where(lit < 0.0, 40.0 + send * (sent - 40.0), sent)
    codes = np.rint(np.einsum("c,jcn->jn", WEIGHTS, sent)).astype(int)
    tallies = [
        Tally(int(each.min()), tuple(map(int, np.bincount(each - each.min()))), float(count))
        for each in codes
    ]
    begun = np.log2(np.maximum(codes_of(0.18 * 2.0**DARK.nodes, power) - 40.0, 1e-6))
    at = DARK.start(begun + 0.05 * np.sin(DARK.nodes), 40.1)
    return EndSearch(DARK, LIGHT, binned(tallies, 1, 1, 1), WEIGHTS, at, 1.1 * SIZES)


def levels(found):
    codes, slopes = DARK.codes(found.at, STOPS)
    return codes, np.sqrt(np.einsum("ij,jk,ik->i", slopes, found.covariance, slopes))


@pytest.mark.parametrize("power", [0.45, 0.6])
def test_it_is_found_and_as_sure_as_it_says(power):
    away = []
    for seed in range(4):
        found = sought(power, seed).found()
        assert found is not None
        assert found.misfit < 1.25
        assert found.strain < 12.0
        codes, spread = levels(found)
        away.append((codes - codes_of(0.18 * 2.0**STOPS, power)) / spread)
        assert found.noise[:, 0] == pytest.approx(np.log(SIZES), abs=0.15)
    assert np.mean(np.square(away)) < 2.0
    assert np.mean(np.abs(away) < 1.96) >= 0.9


def test_more_samples_make_it_surer_as_their_root():
    few, many = (levels(sought(0.5, 5, count).found())[1] for count in (3000, 12_000))
    ratio = few / many
    # Smoothness holds few samples more than many.
    assert 1.4 < ratio.min() < ratio.max() <= 2.1


def test_a_step_that_is_off_by_half_a_stop_strains_it_or_does_not_agree():
    found = sought(0.5, 6, off=0.5).found()
    assert found is None or found.strain > 12.0 or found.misfit > 1.25


def test_what_is_sent_of_less_than_no_light_is_found():
    found = sought(0.5, 7, send=0.7).found()
    assert found is not None
    parts = found.at[DARK.black + 1 : DARK.black + 5]
    assert parts == pytest.approx(np.full(4, 0.7), abs=0.12)
