"""Greys among pins, also under a light of another colour, and what pins of one kind cannot say."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.match.greys import alike_sentences, colour_of

COLOUR = np.array([0.4, 0.2, 0.1])


@given(
    st.lists(st.floats(0.3, 3.0), min_size=3, max_size=3),
    st.floats(0.02, 0.06),
    st.floats(0.3, 0.9),
)
def test_two_greys_are_known_under_any_light(cast, dark, light):
    linear = np.outer([dark, light], cast)
    assert colour_of(linear) == pytest.approx([0.0, 0.0], abs=1e-9)


def test_a_colour_stays_one_beside_greys_and_alone():
    cast = np.array([2.0, 1.0, 0.5])
    beside = colour_of(np.array([0.9 * cast, 0.03 * cast, COLOUR * cast]))
    assert beside == pytest.approx([0.0, 0.0, 2.0], abs=1e-9)  # 0.4 against 0.1 is two stops
    assert colour_of(COLOUR[None]) == pytest.approx([2.0])


@pytest.mark.parametrize(
    ("pins", "said"),
    [
        ([[0.18] * 3], ["one grey says nothing of colour"]),
        ([[0.18] * 3, [0.2] * 3], ["2 greys say nothing of colour", "nothing of contrast"]),
        ([COLOUR, 0.1 * COLOUR[::-1]], ["no pin reads as a grey"]),
        ([[0.9] * 3, [0.03] * 3, COLOUR], []),
    ],
)
def test_pins_of_one_kind_are_told_what_they_cannot_say(pins, said):
    linear = np.array(pins)
    found = alike_sentences(linear, linear @ [0.2126, 0.7152, 0.0722])
    assert len(found) == len(said)
    assert all(words in sentence for words, sentence in zip(said, found, strict=True))
