"""A pin that was told, and the reading it makes; on its way over the network: kit/test_spots."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from firmware.instruments.told_pin import MOST_PINS, MOST_SENTENCES, ToldPin
from overlays.measure.spot.spot import SpotPlace
from tests.marked import SMALL, unit_of

ADAPTER = TypeAdapter(ToldPin)
WIDTHS = st.floats(0.0, 1e6)


@pytest.fixture(scope="module")
def pin():
    return unit_of(SMALL).pins[0]


def test_it_is_read_as_a_reading_of_its_own_would_be(pin):
    spot = pin.spot()
    assert (spot.stops, spot.percent, spot.luminance) == (pin.stops, pin.percent, pin.luminance)
    assert (spot.rgb_linear, spot.code, spot.warnings) == (pin.rgb_linear, pin.code, pin.warnings)
    assert (spot.place.column, spot.place.row) == (pin.x, pin.y)
    assert spot.bound is None
    assert replace(pin, clipped=1.0).spot().hides_light


@pytest.mark.parametrize(("height", "place"), [(20, (9, 9, 20)), (12, (9, 9, 20, 12))])
def test_a_square_is_one(pin, height, place):
    found = replace(pin, x=9, y=9, width=20, height=height).spot().place
    assert found == SpotPlace(*place)
    assert found.rows == height


@given(st.tuples(WIDTHS, WIDTHS, WIDTHS))
def test_of_a_mix_of_channels_it_claims_the_sum_and_of_one_its_own(pin, widths):
    errors = replace(pin, rgb_linear_pm=widths).spot().errors
    for channel, wide in enumerate(widths):
        assert errors.pm(np.eye(3)[channel]) == pytest.approx(wide)
    assert errors.pm(np.array([1.0, -1.0, 0.5])) == pytest.approx(
        widths[0] + widths[1] + widths[2] / 2
    )


@pytest.mark.parametrize(
    "changed",
    [
        {"number": 0},
        {"number": MOST_PINS + 1},
        {"stops": float("nan")},
        {"stops": 101.0},
        {"percent": None},
        {"rgb_linear": (0.1, 0.1)},
        {"rgb_linear_pm": (0.1, -0.1, 0.1)},
        {"clipped": 1.01},
        {"x": 100_001},
        {"height": -100_001},
        {"warnings": ["w"] * (MOST_SENTENCES + 1)},
        {"may_clip": "RGBR"},
    ],
)
def test_what_no_unit_says_is_none(pin, changed):
    whole = ADAPTER.dump_python(pin, mode="json")
    assert ADAPTER.validate_python(whole) == pin
    with pytest.raises(ValidationError):
        ADAPTER.validate_python({**whole, **changed})
