"""The CDL against OpenColorIO, which applies it on its own."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.match.cdl import Cdl, _each_fitted, apply_cdl, fit_cdl
from tests.independent_cdl import asc, independent, transform_of

three = st.tuples(*[st.floats(0.5, 1.6)] * 3)
cdls = st.builds(
    Cdl,
    slope=three,
    offset=st.tuples(*[st.floats(-0.1, 0.1)] * 3),
    power=three,
    saturation=st.floats(0.5, 1.5),
)


@settings(deadline=None, max_examples=60)
@given(cdls)
def test_applied_as_another_implementation_applies_it(cdl):
    rgb = np.random.default_rng(4).uniform(-0.05, 1.1, (40, 3))
    assert apply_cdl(cdl, rgb) == pytest.approx(independent(asc(transform_of(cdl)), rgb), abs=2e-5)


def greys(count):
    return np.linspace(0.12, 0.85, count)[:, None] * np.ones(3)


COLOURS = np.array([[0.6, 0.35, 0.3], [0.3, 0.55, 0.35], [0.3, 0.35, 0.6], [0.6, 0.55, 0.3]])


@pytest.mark.parametrize("seed", range(12))
def test_what_a_cdl_did_a_fit_undoes(seed):
    rng = np.random.default_rng(seed)
    cdl = Cdl(
        slope=tuple(rng.uniform(0.85, 1.2, 3)),
        offset=tuple(rng.uniform(-0.05, 0.05, 3)),
        power=tuple(rng.uniform(0.8, 1.25, 3)),
        saturation=float(rng.uniform(0.85, 1.25)),
    )
    wanted = np.concatenate([greys(6), COLOURS])
    # The inverse in closed form, kept where nothing was clipped.
    luma = wanted @ [0.2126, 0.7152, 0.0722]
    before = luma[:, None] + (wanted - luma[:, None]) / cdl.saturation
    source = (before ** (1.0 / np.array(cdl.power)) - cdl.offset) / cdl.slope
    assert source.min() > 0.0  # so that nothing is clipped on the way
    assert source.max() < 1.0
    found = fit_cdl(source, wanted, np.ones_like(wanted))
    assert np.abs(apply_cdl(found, source) - wanted).max() < 0.008  # calm costs a hair


def test_equal_pictures_need_nothing():
    pins = np.concatenate([greys(5), COLOURS])
    assert fit_cdl(pins, pins, np.ones_like(pins)).is_nothing


def test_one_level_says_neither_slope_nor_offset():
    source = np.array([[0.4, 0.4, 0.4], [0.405, 0.4, 0.4]])
    assert fit_cdl(source, source + 0.05, np.ones_like(source)).is_nothing


def test_two_levels_give_slope_and_offset_alone():
    source = greys(2)
    found = fit_cdl(source, source * 0.9 + 0.03, np.ones_like(source))
    assert found.slope == pytest.approx((0.9,) * 3, abs=1e-3)
    assert found.offset == pytest.approx((0.03,) * 3, abs=1e-3)
    assert found.power == (1.0,) * 3
    assert found.saturation == 1.0


def test_a_hair_is_no_reason_to_bend_the_picture():
    source = np.concatenate([greys(3) * 0.2 + 0.4, COLOURS])
    rng = np.random.default_rng(3)
    found = fit_cdl(source, source + rng.normal(0.0, 0.004, source.shape), np.ones_like(source))
    assert max(abs(np.log(found.power))) < 0.35
    assert max(abs(np.array(found.slope) - 1.0)) < 0.35


@pytest.mark.parametrize("unit", [1e-4, 1.0, 1e4])
def test_pins_count_by_their_weight_beside_each_other_whatever_its_unit(unit):
    source = np.array([[0.1, 0.2, 0.15], [0.3, 0.4, 0.35], [0.6, 0.5, 0.7]])
    wanted = apply_cdl(Cdl((1.2, 0.9, 1.1), (0.02, 0.0, -0.01), (1.1, 0.9, 1.0)), source)
    weights = np.array([[1.0] * 3, [2.0] * 3, [3.0] * 3])
    found = fit_cdl(source, wanted, unit * weights)
    assert apply_cdl(found, source) == pytest.approx(wanted, abs=2e-3)
    assert np.abs(wanted - source).max() > 0.05


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("power", [False, True])
def test_fits_that_are_made_at_once_are_those_made_one_by_one(seed, power):
    chance = np.random.default_rng(seed)
    source = chance.random((9, 3))
    wanted = np.clip(source ** chance.uniform(0.7, 1.4, (5, 1, 3)) * 0.9 + 0.03, 0.0, 1.0)
    weights = chance.uniform(1.0, 20.0, (9, 3))
    together = _each_fitted(source, wanted, weights, power=power)
    apart = [_each_fitted(source, each[None], weights, power=power)[0] for each in wanted]
    assert together == apart
    assert len({each.slope for each in together}) == 5


def test_the_same_pins_are_fitted_once_and_others_anew(monkeypatch):
    source = np.array([[0.11, 0.12, 0.13], [0.31, 0.32, 0.33], [0.5, 0.52, 0.54]])
    first = fit_cdl(source, 0.9 * source, np.ones((3, 3)))
    monkeypatch.setattr(
        "overlays.measure.match.cdl._fitted", lambda *_, **__: pytest.fail("fitted again")
    )
    assert fit_cdl(source.copy(), 0.9 * source, np.ones((3, 3))) == first
    # Numbers, not the kind of number, are what it was asked.
    assert fit_cdl(source, 0.9 * source, np.ones((3, 3), int)) == first
    with pytest.raises(pytest.fail.Exception):
        fit_cdl(source, 0.8 * source, np.ones((3, 3)))
