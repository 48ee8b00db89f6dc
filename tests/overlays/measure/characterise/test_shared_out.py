"""Shares of samples over codes, against samples that were drawn, and how they move."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.characterise.dark_end import dark_end
from overlays.measure.characterise.shared_out import MOST_SHAPED, Luma, binned, masses
from overlays.measure.feedcheck.readings import Tally
from overlays.signal.published import published_curve
from tests.made_cameras import WEIGHTS

NOISE, LIGHT = 0.0008, np.array([0.0, 0.0007, 0.003])
DARK = dark_end(NOISE, top=0.012)
SHAPED = np.array([[np.log(NOISE), 0.2, 0.1], [np.log(NOISE) + 0.1, -0.1, 0.2], [-6.9, 0.0, 0.0]])


def tallied(codes):
    first = int(codes.min())
    counts = np.bincount((codes - first).astype(int).ravel())
    return Tally(first, tuple(map(int, counts)), float(codes.size))


def behind(curve):
    """What is open of a published curve at 8 bits on limited range, and its codes of light."""
    found = published_curve(curve)
    black, span = float(found.encode(0.0)) * 219.0 + 16.0, 219.0
    levels = np.log2(span * (np.asarray(found.stops_to_value(DARK.nodes)) - found.encode(0.0)))
    return DARK.start(levels, black), lambda light: 16.0 + span * np.asarray(found.encode(light))


def seen(curve, count, weights=WEIGHTS, lowest=1):
    """Samples of three lights behind it, channels each with noise of its own."""
    rng, (at, codes) = np.random.default_rng(11), behind(curve)
    sizes = np.exp(SHAPED[:, 0])
    lit = LIGHT[:, None, None] + sizes[:, None, None] * rng.normal(size=(3, len(weights), count))
    luma = np.rint(np.einsum("c,jcn->jn", weights, codes(lit)))
    return at, [tallied(np.maximum(each, lowest)) for each in luma]


def shares(at, bins, weights=WEIGHTS, noise=SHAPED):
    cells, by_noise = masses(DARK.edges, LIGHT, noise)
    above, slopes = DARK.above(at)
    luma, black = Luma(bins, weights), DARK.black
    found, waves, parts = luma.shares(above, float(at[black]), cells)
    return found, luma.moved(waves, parts, cells, slopes, by_noise, black)


@pytest.mark.parametrize("lowest", [1, 14])
@pytest.mark.parametrize("weights", [WEIGHTS, np.ones(1)], ids=["apart", "together"])
@pytest.mark.parametrize("curve", ["HLG", "BT.1886", "BT.709"])
def test_shares_are_those_of_samples_that_were_drawn(curve, weights, lowest):
    """To what chance has of 200 000; at 14 the lowest code holds all that lies below it too."""
    at, tallies = seen(curve, 200_000, weights, lowest)
    bins = binned(tallies, 1, lowest, 1)
    normal = SHAPED * [1.0, 0.0, 0.0]
    found, _ = shares(at, bins, weights, normal)
    wanted = 200_000 * np.maximum(found, 0.0)
    kept = wanted > 5.0
    off = (bins.counts - wanted)[kept] ** 2 / wanted[kept]
    assert found.sum(axis=1) == pytest.approx(np.ones(3), abs=1e-4)
    assert off.mean() < 1.6
    assert bins.counts[~kept].sum() < 300


@given(st.integers(0, DARK.count + 2), st.sampled_from(["HLG", "BT.709"]))
def test_slopes_are_those_of_shares_that_move(place, curve):
    at, tallies = seen(curve, 500)
    bins = binned(tallies, 1, 14, 1)
    _, (by_curve, by_noise) = shares(at, bins)
    by, size = np.zeros(DARK.count + 3), 1e-4
    by[place] = size
    up, down = (
        shares(at + sign * by[: DARK.count], bins, noise=SHAPED + sign * by[DARK.count :])[0]
        for sign in (1, -1)
    )
    told = np.concatenate([by_curve, by_noise], axis=1)[:, place]
    assert told == pytest.approx((up - down) / (2.0 * size), abs=5e-5)


def test_a_series_has_the_moments_it_is_said_to_have():
    edges = np.linspace(-10.0, 10.0, 4001)
    z = 0.5 * (edges[1:] + edges[:-1])
    shares_of, _ = masses(edges, np.zeros(1), np.array([[0.0, 0.3, 0.4]]))
    found = [float(shares_of[:, 0] @ z**n) for n in range(5)]
    assert found == pytest.approx([1.0, 0.0, 1.0, 0.3, 3.4], abs=1e-3)


@given(
    counts=st.lists(st.integers(0, 50), min_size=1, max_size=40).filter(any),
    first=st.integers(0, 80),
    lowest=st.integers(0, 20),
    width=st.integers(1, 6),
    step=st.sampled_from([1, 4]),
)
def test_each_sample_lies_in_the_bin_of_its_code(counts, first, lowest, width, step):
    spread = [0] * (step * (len(counts) - 1) + 1)
    spread[::step] = counts
    tally = Tally(step * first, tuple(spread), float(sum(counts)))
    bins = binned([tally], step, step * lowest, width)
    assert bins.counts.sum() == sum(counts)
    middles = bins.first + bins.width * np.arange(bins.counts.shape[1])
    for place, count in enumerate(counts):
        code = step * (first + place)
        here = np.flatnonzero(np.abs(middles - code) < 0.5 * bins.width)
        assert len(here) == 1
        assert bins.counts[0, here[0]] >= count
    # The lowest code ends its bin, so that what lies below can be put there.
    if bins.lowest > 0:
        top = bins.first + bins.width * (bins.lowest + 0.5)
        assert step * lowest < top <= step * (lowest + 1)


@given(*[st.sampled_from([-MOST_SHAPED, 0.0, MOST_SHAPED])] * 2)
def test_no_share_is_less_than_none(third, excess):
    found, _ = masses(np.linspace(-10.0, 10.0, 801), np.zeros(1), np.array([[0.0, third, excess]]))
    assert found.min() >= -1e-12
