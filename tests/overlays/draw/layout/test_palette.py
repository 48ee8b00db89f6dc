import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.layout import theme
from overlays.draw.layout.palette import (
    SIGHTS,
    _exchanged,
    _least,
    contrast_ratio,
    derive,
    differences,
    lifted,
    linear_rgb,
)

ACCENTS = [theme.RED, theme.AMBER, theme.TEAL, theme.SKY, theme.VIOLET]


def test_the_colours_of_the_theme_are_those_the_search_finds():
    found = derive([theme.TEXT], theme.PANEL, 5, theme.LEAST_CONTRAST_MARK)
    assert found == ACCENTS


def test_any_two_colours_stay_apart_for_every_sight():
    apart = differences([theme.TEXT, *ACCENTS])
    assert apart[~np.eye(len(apart), dtype=bool)].min() >= theme.LEAST_DIFFERENCE


def test_the_search_beats_random_sets():
    rng = np.random.default_rng(3)
    least = theme.LEAST_DIFFERENCE
    for _ in range(50):
        colours = [theme.TEXT, *map(tuple, rng.integers(0, 256, (5, 3)).tolist())]
        apart = differences(colours)
        assert apart[~np.eye(6, dtype=bool)].min() < least


def test_contrast_of_black_and_white_is_21_to_1():
    # W3C, WCAG 2.2: ratios range from 1 to 21.
    assert contrast_ratio((0, 0, 0), (255, 255, 255)) == pytest.approx(21.0)
    assert contrast_ratio((90, 90, 90), (90, 90, 90)) == pytest.approx(1.0)


def test_mid_grey_of_srgb_is_a_fifth_of_the_light():
    # IEC 61966-2-1: 0.5 encoded is 0.2140 linear.
    assert linear_rgb([(128, 128, 128)])[0, 0] == pytest.approx(0.2158605, abs=1e-6)


@pytest.mark.parametrize("sight", list(SIGHTS))
def test_grey_looks_grey_to_every_sight(sight):
    # Each row of the published matrices sums to one.
    np.testing.assert_allclose(SIGHTS[sight].sum(axis=1), 1.0, atol=2e-6)


@pytest.mark.parametrize("seed", range(10))
def test_no_colour_can_be_exchanged_for_one_that_stands_further_apart(seed):
    places = np.random.default_rng(seed).uniform(size=(12, 2))
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    kept, begun = [0], [1, 2, 3, 4]
    found = _exchanged(apart, kept, begun)
    for place in range(len(found)):
        for other in set(range(12)) - {*kept, *found}:
            trial = [*found[:place], other, *found[place + 1 :]]
            assert _least(apart, kept + trial) <= _least(apart, kept + found) + 1e-9


def test_a_neighbour_on_a_line_is_exchanged_for_its_middle():
    places = np.arange(7.0)
    assert _exchanged(np.abs(places[:, None] - places[None]), [0], [1, 6]) == [3, 6]


@given(
    st.tuples(*[st.integers(0, 255)] * 3).filter(lambda colour: max(colour) > 40),
    st.floats(1.0, 15.0),
)
def test_a_lifted_colour_has_the_contrast_and_keeps_its_order_of_channels(colour, contrast):
    found = lifted(colour, theme.PANEL, contrast)
    assert contrast_ratio(found, theme.PANEL) >= contrast
    assert all(new >= old for new, old in zip(found, colour, strict=True))  # never darker
    order = sorted(range(3), key=lambda n: colour[n])
    assert list(np.diff([found[n] for n in order]) >= 0) == [True, True]


def test_no_words_have_more_contrast_than_white():
    with pytest.raises(ValueError, match="no words"):
        lifted(theme.RED, theme.PANEL, 20.0)
