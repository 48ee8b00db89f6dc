"""Steps done at once give what they give one by one."""

import pytest

from overlays.sharing.stepwise import whole


def counted(done, most, fault=None):
    for step in range(most):
        done.append(step)
        yield
    if fault is not None:
        raise fault
    return len(done)


def test_all_are_done_and_the_last_one_gives_what_was_found():
    done: list[int] = []
    assert whole(counted(done, 3)) == 3
    assert done == [0, 1, 2]
    assert whole(counted([], 0)) == 0


def test_one_that_is_under_way_is_gone_on_with():
    done: list[int] = []
    steps = counted(done, 3)
    next(steps)
    assert whole(steps) == 3
    assert done == [0, 1, 2]


def test_what_a_step_raises_is_raised():
    with pytest.raises(ValueError, match="not this"):
        whole(counted([], 2, ValueError("not this")))
