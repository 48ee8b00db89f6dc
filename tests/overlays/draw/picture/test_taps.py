import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.picture.taps import exact_total, folded, taps, width_loop

SIZES = st.integers(1, 90)


@given(SIZES, SIZES, st.sampled_from([32, 64, 128]))
def test_weights_sum_to_the_total_and_stay_inside_the_picture(source, drawn, total):
    made = taps(source, drawn, total)
    assert (made.weights.sum(axis=1) == total).all()
    assert (made.weights >= 0).all()
    assert (made.start >= 0).all()
    assert (made.start + made.weights.shape[1] <= source).all()


@given(SIZES, SIZES)
def test_a_flat_picture_stays_flat_and_a_slope_keeps_its_middle(source, drawn):
    made = taps(source, drawn, 4096)
    line = np.arange(source, dtype=float)
    picked = line[made.start[:, None] + np.arange(made.weights.shape[1])]
    values = (picked * made.weights).sum(axis=1) / 4096
    np.testing.assert_allclose(values.mean(), line.mean(), atol=0.02 * source + 0.01)
    assert (np.diff(values) >= 0).all()


def test_three_to_two_weighs_two_thirds_and_one_third():
    made = taps(6, 4, exact_total(6, 4) or 0)
    assert made.total == 3
    assert made.weights.tolist() == [[2, 1], [1, 2], [2, 1], [1, 2]]
    assert made.start.tolist() == [0, 1, 3, 4]


def test_enlarging_draws_straight_lines():
    made = taps(2, 4, 128)
    ramp = np.array([0.0, 128.0])
    values = (ramp[made.start[:, None] + np.arange(2)] * made.weights).sum(axis=1) / 128
    assert values.tolist() == [0.0, 32.0, 96.0, 128.0]


@given(st.integers(2, 60), st.integers(1, 60))
def test_folding_is_the_same_as_repeating_each_sample(source, drawn):
    luma = taps(source, drawn, 128)
    samples = -(-source // 2)
    chroma = folded(luma, samples, 2)
    values = np.arange(samples, dtype=float) ** 2
    repeated = np.repeat(values, 2)[:source]

    def drawn_by(rule, line):
        at = rule.start[:, None] + np.arange(rule.weights.shape[1])
        return (line[at] * rule.weights).sum(axis=1)

    np.testing.assert_array_equal(drawn_by(chroma, values), drawn_by(luma, repeated))


def test_full_chroma_is_not_folded():
    luma = taps(12, 8, 3)
    assert folded(luma, 12, 1) is luma


def test_an_enlarged_picture_has_no_exact_sum():
    assert exact_total(10, 20) is None
    assert exact_total(1920, 896) == 15


@pytest.mark.parametrize(
    ("columns", "drawn", "samples", "loop"),
    [
        (1920, 1280, 2, (32, 3, 0)),
        (1920, 1920, 2, (11, 1, 0)),
        (960, 1280, 2, (32, 3, 1)),  # magnified twice
        (480, 1280, 2, (32, 3, 2)),  # four times
        (960, 1920, 1, (11, 1, 1)),
        (100, 63, 1, (0, 1, 0)),
        (100, 163, 1, (0, 1, 0)),
        (240, 1280, 2, (0, 1, 0)),  # eight times is never asked for
        (1920, 768, 2, (52, 5, 0)),
    ],
)
def test_the_loop_for_a_width(columns, drawn, samples, loop):
    assert width_loop(columns, drawn, samples) == loop


@given(st.integers(1, 300), st.integers(1, 300), st.sampled_from([1, 2]))
def test_a_loop_brings_the_doubled_row_to_the_width_that_is_drawn(columns, drawn, samples):
    number, total, times = width_loop(columns, drawn, samples)
    assert (times > 0) <= (columns < drawn)
    if number:
        source, out = divmod(number, 10)
        assert (columns << times) * out == drawn * source
        assert total == source
