"""The command for every day holds its time on whatever machine ran the whole."""

from hypothesis import given
from hypothesis import strategies as st

from tests.quick import ALWAYS, LONG_S, QUICK_S, slow_ones, stragglers, with_shares, with_waits


@given(st.lists(st.floats(0.001, 30.0), max_size=300), st.integers(1, 4))
def test_what_is_kept_fits_and_is_quicker_than_what_is_not(seconds, cores):
    took = {f"test {n}": each for n, each in enumerate(seconds)}
    slow = slow_ones(took, cores)
    kept = {name: each for name, each in took.items() if name not in slow}
    assert sum(kept.values()) <= QUICK_S * cores + 1e-6
    if slow:
        least = min(took[name] for name in slow)
        assert max(kept.values(), default=0.0) <= least
        assert sum(kept.values()) + least > QUICK_S * cores - 1e-6  # and none that fits is missing


def test_a_suite_that_fits_is_kept_whole():
    each = 0.99 * 2.0 * QUICK_S / 5000.0
    assert slow_ones({f"test {n}": each for n in range(5000)}, 2) == {}


def test_what_a_file_sets_up_is_borne_by_all_of_its_tests():
    shared = with_shares({"a::1": 1.0, "a::2": 0.0, "b::1": 2.0}, {"a": 4.0, "c": 9.0})
    assert shared == {"a::1": 3.0, "a::2": 2.0, "b::1": 2.0}


def test_what_waits_for_what_goes_on_beside_is_left_out_however_short_the_wait_was():
    took = with_waits(
        {"a::1": 0.1, "a::2": 0.2, f"{ALWAYS}::types": 0.3}, {"a::1", f"{ALWAYS}::types"}
    )
    assert slow_ones(took, 1).keys() == {"a::1"}


def test_of_the_quick_ones_those_that_took_long_are_left_out_next_time_but_lint_and_types():
    took = {"a::1": LONG_S, "a::2": 0.9 * LONG_S, f"{ALWAYS}::types": 9.0 * LONG_S}
    assert stragglers(took) == {"a::1": LONG_S}
