import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.counting.quantiles import median, quantile

numbers = st.floats(-1e6, 1e6, allow_subnormal=False)


@pytest.mark.parametrize(
    "shape", [(1,), (2,), (3,), (48,), (749,), (750,), (1, 3), (49, 3), (50, 3)]
)
@pytest.mark.parametrize("decimals", [1, 17])
def test_it_is_the_median_to_the_last_digit(shape, decimals):
    values = np.round(np.random.default_rng(len(shape) + shape[0]).normal(size=shape), decimals)
    kept = values.copy()
    assert median(values).tolist() == np.median(values, axis=0).tolist()
    assert values.tolist() == kept.tolist()


@given(
    st.lists(numbers, min_size=1, max_size=40),
    st.one_of(st.sampled_from([0.0, 0.16, 0.5, 0.84, 0.98, 1.0]), st.floats(0.0, 1.0)),
)
def test_it_is_the_quantile_to_the_last_digit(values, share):
    assert quantile(np.sort(values), share) == np.quantile(values, share)
