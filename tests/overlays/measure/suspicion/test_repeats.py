import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.suspicion.repeats import Repeats


def watched(pattern, noise=400.0, is_seen=None):
    """What is said after frames that repeat where the pattern is true."""
    rng, seen = np.random.default_rng(4), Repeats()
    levels = rng.integers(500, 1500, 256)
    for number, again in enumerate(pattern):
        if not again:
            levels = levels + np.rint(rng.normal(0.0, noise, 256)).astype(np.int64)
        if is_seen is None or is_seen[number]:
            seen.see(number, levels)
    return seen.suspicion()


@pytest.mark.parametrize("every", [2, 5, 6])
def test_an_even_repeat_is_found_with_its_share(every):
    found = watched([n % every == every - 1 for n in range(100)])
    assert found is not None
    assert found.share == pytest.approx(1.0 / every, abs=0.02)


@pytest.mark.parametrize("every", [2, 5, 6, 12])
@pytest.mark.parametrize("passed", ["every third", "half of them"])
def test_an_even_repeat_is_found_where_frames_are_passed_over(every, passed):
    """A board that measures two of three frames, or half of them in no order."""
    rng = np.random.default_rng(7)
    is_seen = [n % 3 != 0 if passed == "every third" else rng.random() < 0.5 for n in range(900)]
    found = watched([n % every == every - 1 for n in range(900)], is_seen=is_seen)
    assert found is not None
    if passed == "half of them":  # else some places among them are never seen
        assert found.share == pytest.approx(1.0 / every, abs=0.06)


@pytest.mark.parametrize("still", [True, False])
def test_passed_over_frames_of_a_picture_without_noise_are_no_repeats(still):
    """A still one that a computer made, and one that moves now and then."""
    rng = np.random.default_rng(8)
    is_seen = [rng.random() < 0.6 for _ in range(600)]
    again = [still or rng.random() < 0.4 for _ in range(600)]
    assert watched(again, is_seen=is_seen) is None


def test_where_no_two_frames_that_follow_each_other_are_seen_nothing_is_said():
    again = [n % 5 == 4 for n in range(600)]
    assert watched(again, is_seen=[n % 2 == 0 for n in range(600)]) is None


def test_frames_that_are_all_new_or_all_the_same_are_not_suspected():
    assert watched([False] * 100) is None
    assert watched([True] * 100) is None


def test_a_picture_that_hardly_changes_is_not_suspected():
    assert watched([n % 5 == 4 for n in range(100)], noise=0.3) is None


@settings(max_examples=30, deadline=None)
@given(st.lists(st.booleans(), min_size=30, max_size=90))
def test_whatever_comes_shares_are_shares(pattern):
    found = watched(pattern)
    assert found is None or 0.0 < found.share <= 0.6
