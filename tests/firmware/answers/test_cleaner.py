import dataclasses
import json
import math
from enum import Enum

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from firmware.answers.cleaner import absent, clean, enveloped, finite


class Colour(Enum):
    RED = "red"


@dataclasses.dataclass
class Inner:
    from_: float
    note: str | None = absent("only where there is one")


@dataclasses.dataclass
class Outer:
    inner: Inner
    colour: Colour
    many: tuple[float, ...]
    none: float | None


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda each: st.lists(each) | st.dictionaries(st.text(), each),
    max_leaves=20,
)


@given(ANYTHING)
@example("NaN")  # a word, and no number
@example([math.nan, math.inf])
def test_whatever_comes_out_is_strict_json(value):
    text = json.dumps(clean(value))
    constants: list[str] = []
    json.loads(text, parse_constant=constants.append)
    assert constants == []


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e9, max_value=1e9))
@example(67108864.9140625)
def test_a_number_keeps_six_decimals(number):
    # Half a millionth, and the last place that a double of that size has.
    assert abs(finite(number) - number) <= 0.5e-6 + math.ulp(number)


def test_what_is_no_number_is_none():
    for value in (None, math.nan, math.inf, -math.inf):
        assert finite(value) is None
    assert str(finite(-1e-9)) == "0.0"


def test_a_dataclass_becomes_an_object_key_by_key():
    found = clean(Outer(Inner(1.23456789), Colour.RED, (math.nan, 2), None))
    assert found == {"inner": {"from": 1.234568}, "colour": "red", "many": [None, 2], "none": None}
    assert list(found) == ["inner", "colour", "many", "none"]
    assert clean(Inner(1.0, "x"))["note"] == "x"


def test_numbers_of_numpy_are_numbers():
    assert clean({"a": np.float32(0.5), "b": np.int64(3), "c": np.array([1.0, np.inf])}) == {
        "a": 0.5,
        "b": 3,
        "c": [1.0, None],
    }


def test_whole_numbers_stay_whole():
    assert json.dumps(clean([3, 3.0, True])) == "[3, 3.0, true]"


def test_what_has_no_place_is_refused():
    with pytest.raises(TypeError, match="object"):
        clean(object())


def test_the_envelope_comes_first():
    assert list(enveloped(Inner(1.0))) == ["schema", "from"]
