import numpy as np
import pytest

from overlays.draw.picture.row_kernels import gather_rows, width_by_ratio, width_by_taps
from overlays.draw.picture.taps import folded, taps


@pytest.mark.parametrize("word", [1, 2, 4])
@pytest.mark.parametrize("weights", [[3], [2, 1], [3, 0], [1, 1, 1], [1, 4, 0, 2]])
def test_rows_are_weighted_sums(word, weights):
    rng = np.random.default_rng(4)
    data = rng.integers(0, 256, 6 * 40 * word, dtype=np.uint8)
    kind = {1: np.uint8, 2: np.uint16, 4: np.uint32}[word]
    out = np.zeros(37, np.int16)
    shift, mask = 8 * (word - 1), 255
    data.flags.writeable = False
    plane = np.array([word, 40, shift, mask])
    gather_rows(data, plane, 2, np.array(weights, np.int16), out)
    rows = (data.view(kind).reshape(6, 40)[:, :37].astype(int) >> shift) & mask
    expected = sum(w * rows[2 + k] for k, w in enumerate(weights))
    np.testing.assert_array_equal(out, expected)


@pytest.mark.parametrize("samples", [1, 2])
@pytest.mark.parametrize(
    ("ratio", "source", "drawn"),
    [(11, 24, 24), (21, 24, 12), (32, 24, 16), (31, 24, 8), (41, 24, 6), (52, 40, 16)],
)
def test_small_ratios_are_the_taps_of_that_ratio(ratio, source, drawn, samples):
    rng = np.random.default_rng(6)
    row = rng.integers(0, 1024, source // samples).astype(np.int16)
    out = np.zeros(drawn, np.int16)
    width_by_ratio(row, ratio, samples, out)
    rule = folded(taps(source, drawn, ratio // 10), row.size, samples)
    at = rule.start[:, None] + np.arange(rule.weights.shape[1])
    np.testing.assert_array_equal(out, (row[at].astype(int) * rule.weights).sum(axis=1))


@pytest.mark.parametrize(("source", "drawn"), [(31, 13), (13, 31), (7, 7)])
def test_any_ratio_is_the_rounded_weighted_mean(source, drawn):
    rng = np.random.default_rng(8)
    row = rng.integers(0, 32737, source).astype(np.int16)
    rule = taps(source, drawn, 128)
    out = np.zeros(drawn, np.int16)
    wide = np.zeros((2, 40), np.int32)
    weights = np.ascontiguousarray(rule.weights.T)
    width_by_taps(row, rule.start.astype(np.uint32), weights, wide, out)
    at = rule.start[:, None] + np.arange(rule.weights.shape[1])
    exact = (row[at].astype(int) * rule.weights).sum(axis=1) / 128
    np.testing.assert_array_equal(out, np.floor(exact + 0.5))
