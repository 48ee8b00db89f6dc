"""What rests on damage is not taken, and what stands for itself afterwards is."""

from hypothesis import given
from hypothesis import strategies as st

from firmware.feeds.damage import Gaps, Whole


def through(whole, stamp, *, is_key=False, is_corrupt=False):
    whole.packet(stamp, is_key=is_key, is_corrupt=is_corrupt)
    return whole.takes(stamp, is_key=is_key, is_corrupt=False)


def test_nothing_is_taken_before_a_picture_that_stands_for_itself():
    whole = Whole()
    assert [through(whole, n, is_key=n == 3) for n in range(6)] == [False] * 3 + [True] * 3


def test_what_a_decoder_could_not_read_spoils_until_the_next_key():
    whole = Whole()
    assert through(whole, 0, is_key=True)
    whole.spoilt()
    assert not through(whole, 1)
    assert through(whole, 2, is_key=True)
    assert through(whole, 3)


def test_a_picture_that_the_decoder_calls_damaged_spoils_those_after_it():
    whole = Whole()
    assert through(whole, 0, is_key=True)
    assert not whole.takes(1, is_key=False, is_corrupt=True)
    assert not through(whole, 2)


def test_a_key_from_before_the_damage_that_comes_out_after_it_does_not_count():
    whole = Whole()
    whole.packet(10, is_key=True, is_corrupt=False)
    whole.packet(11, is_key=False, is_corrupt=True)
    whole.packet(20, is_key=True, is_corrupt=False)
    assert not whole.takes(10, is_key=True, is_corrupt=False)
    assert not whole.takes(11, is_key=False, is_corrupt=False)
    assert whole.takes(20, is_key=True, is_corrupt=False)


@given(st.lists(st.tuples(st.booleans(), st.booleans()), max_size=60))
def test_taken_is_what_has_a_key_and_no_damage_since_it(course):
    whole, sound = Whole(), False
    for stamp, (is_key, is_corrupt) in enumerate(course):
        sound = not is_corrupt and (sound or is_key)
        assert through(whole, stamp, is_key=is_key, is_corrupt=is_corrupt) is sound


STEP = 20_000_000


def judged(stamps):
    gaps = Gaps()
    return [gaps.is_after_one(each) for each in stamps]


@given(st.integers(12, 40), st.integers(1, 5), st.integers(-(10**15), 10**15))
def test_a_picture_that_never_came_is_missed(before, missing, zero):
    stamps = [zero + n * STEP for n in range(before)]
    stamps += [stamps[-1] + (1 + missing) * STEP + n * STEP for n in range(9)]
    assert judged(stamps) == [False] * before + [True] + [False] * 8


@given(st.lists(st.sampled_from([20, 40, 80]), min_size=20, max_size=60))
def test_of_steps_that_are_seldom_the_same_nothing_is_told(steps):
    stamps = [sum(steps[:n]) * 1_000_000 for n in range(len(steps) + 1)]
    for at, is_missed in enumerate(judged(stamps)[1:]):
        back = steps[max(0, at - 8) : at]
        if is_missed:
            usual = sorted(back)[len(back) // 2]
            assert steps[at] > usual
            assert back.count(usual) >= 6


def test_a_stream_without_stamps_or_with_stamps_that_stand_still_is_let_be():
    assert not any(judged([None] * 20))
    assert not any(judged([5] * 20))
    assert not any(judged([n * STEP if n % 2 else None for n in range(40)]))
