import numpy as np
import pytest

from overlays.measure.watch.middle import median


@pytest.mark.parametrize(
    "shape", [(1,), (2,), (3,), (48,), (749,), (750,), (1, 3), (49, 3), (50, 3)]
)
@pytest.mark.parametrize("decimals", [1, 17])
def test_it_is_the_median_to_the_last_digit(shape, decimals):
    values = np.round(np.random.default_rng(len(shape) + shape[0]).normal(size=shape), decimals)
    kept = values.copy()
    assert median(values).tolist() == np.median(values, axis=0).tolist()
    assert values.tolist() == kept.tolist()
