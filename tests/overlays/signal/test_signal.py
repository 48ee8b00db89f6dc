"""Published weights and subsampling."""

import pytest

from overlays.signal.signal import Matrix, Range, Signal, SignalOverride, Subsampling


def test_weights_of_each_matrix_add_up_to_one():
    for matrix in Matrix:
        assert sum(matrix.weights) == pytest.approx(1.0, abs=1e-12)


def test_weights_are_the_published_ones():
    # ITU-R BT.709-6 item 3.2; BT.601-7 item 2.5.1; BT.2020-2 Table 4
    assert Matrix.BT709.weights == (0.2126, 0.7152, 0.0722)
    assert Matrix.BT601.weights == (0.299, 0.587, 0.114)
    assert Matrix.BT2020.weights == (0.2627, 0.6780, 0.0593)


def test_subsampling_shares():
    assert [(s.rows, s.columns) for s in Subsampling] == [(1, 1), (1, 2), (2, 2)]


def test_a_signal_is_a_value():
    assert Signal() == Signal()
    assert hash(Signal(10)) != hash(Signal(8))


@pytest.mark.parametrize("said", [None, Matrix.BT601])
@pytest.mark.parametrize("range_", [None, Range.FULL])
def test_an_override_takes_the_place_of_what_it_names_and_of_nothing_else(range_, said):
    sent = Signal(10, Range.LIMITED, Matrix.BT2020)
    read = SignalOverride(range_, said).over(sent)
    assert read.range is (range_ or Range.LIMITED)
    assert read.matrix is (said or Matrix.BT2020)
    assert read.bits == 10
