from hypothesis import given
from hypothesis import strategies as st

from overlays.sharing.crew import ALONE, swaths


@given(st.integers(1, 3000), st.integers(1, 20), st.integers(1, 40))
def test_swaths_are_everything_once_and_begin_at_steps(total, count, step):
    cuts = swaths(total, count, step)
    assert 1 <= len(cuts) <= count
    assert [n for cut in cuts for n in range(*cut)] == list(range(total))
    assert all(first % step == 0 and first < past for first, past in cuts)


@given(st.integers(1, 3000), st.integers(1, 20))
def test_swaths_are_as_many_as_asked_for_and_about_the_same_size(total, count):
    sizes = [past - first for first, past in swaths(total, count)]
    assert len(sizes) == min(total, count)
    assert max(sizes) - min(sizes) <= 1


def test_alone_the_caller_does_one_after_the_other():
    done = []
    ALONE.together([lambda: done.append(1), lambda: done.append(2)])
    assert (ALONE.workers, done) == (1, [1, 2])
