from dataclasses import replace

import numpy as np
import pytest

from firmware.v4l2.jpeg_check import JpegLook, look_at
from firmware.v4l2.jpeg_neighbours import Neighbours, _is_scaled, unlike
from tests.bench.jpeg_damage import encoded
from tests.firmware.v4l2.test_jpeg_walk import gradient


def look(quality=3, size=(128, 192)):
    return look_at(encoded(gradient(*size), quality=quality))


def off(seen, codes):
    luma = seen.levels[0].copy()
    luma.ravel()[luma.size // 2 + 5 :] += codes
    return replace(seen, levels=(luma, *seen.levels[1:]))


def with_steps(seen, **changed):
    head = seen.head
    steps = list(head.quantisers[0])
    for place, step in changed.items():
        steps[int(place[1:])] = step
    made = replace(head, quantisers={**head.quantisers, 0: tuple(steps)})
    return JpegLook(made, seen.levels, seen.restart)


def test_levels_that_jump_are_doubted_and_the_stream_goes_on():
    neighbours, good = Neighbours(), look()
    assert neighbours.doubt(good) is None
    assert "+12.0 codes" in neighbours.doubt(off(good, 12.0))
    assert neighbours.doubt(good) is None


def test_a_damaged_first_picture_costs_one_good_one():
    neighbours, good = Neighbours(), look()
    assert neighbours.doubt(off(good, 12.0)) is None
    assert neighbours.doubt(good) is not None
    assert [neighbours.doubt(good) for _ in range(3)] == [None] * 3


def test_another_size_is_believed_the_second_time():
    neighbours = Neighbours()
    assert neighbours.doubt(look()) is None
    other = look(size=(64, 96))
    assert "size" in neighbours.doubt(other)
    assert neighbours.doubt(other) is None
    assert neighbours.doubt(other) is None


def test_an_encoder_may_change_its_quality_and_damage_a_step():
    assert unlike(look(quality=3), look(quality=9)) is None
    good = look()
    assert "2 of 64 steps" in unlike(with_steps(good, _0=90, _7=3), good)


def test_levels_are_only_compared_where_they_restart_alike():
    good = look()
    assert unlike(replace(off(good, 9.0), restart=3), good) is None
    assert not np.array_equal(off(good, 9.0).levels[0], good.levels[0])


def test_a_table_of_which_much_has_changed_but_not_as_quality_does_is_doubted():
    good = look()
    other = with_steps(good, **{f"_{n}": good.head.quantisers[0][n] + 40 for n in range(9, 30, 2)})
    assert "otherwise than by its quality" in unlike(other, good)
    for quality in range(1, 31):
        assert unlike(look(quality), good) is None, quality


def test_a_stream_that_changes_with_every_picture_is_believed():
    neighbours, good = Neighbours(), look()
    seen = [
        neighbours.doubt(with_steps(good, **{f"_{n}": 200 + n, f"_{n + 1}": 90})) for n in range(40)
    ]
    assert sum(words is not None for words in seen) <= 30


@pytest.mark.parametrize(("one", "is_scaled"), [(4, True), (6, True), (7, False), (9, False)])
def test_a_step_may_be_off_by_the_rounding_of_both_tables_and_one_more(one, is_scaled):
    """At twice as coarse: half a step of its own, a whole of the other's, and one of a cut."""
    assert _is_scaled((20,) * 63 + (one,), (10,) * 63 + (2,)) is is_scaled
