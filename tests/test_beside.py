"""What goes on beside the tests is asked for by the process that began it, and late."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.beside import BENCH, LATER, asked_at, later, turned

MANY = st.integers(100, 20_000)


@given(MANY)
def test_one_process_alone_asks_last(others):
    assert asked_at(others, 0) == others


@given(MANY, st.integers(1, 8), st.integers(1, 10))
def test_of_several_it_is_the_first_that_asks(others, processes, asking):
    at = asked_at(others, processes)
    own = (others + asking) // processes
    assert at + asking <= own or own < 3 * asking
    # pytest-xdist's worksteal: whoever is idle takes half of what another has left, its last ones.
    # None of those that ask is among them once the first has done a quarter of its own.
    done = own // 4
    assert at < own - (own - done) // 2 or own < 30


@given(st.lists(st.sampled_from([f"{BENCH}test_cold.py", "tests/a.py", "tests/b.py"])))
def test_no_test_is_lost_and_those_of_the_benchmarks_come_when_loops_are_there(files):
    order = later(files)
    assert sorted(order) == list(range(len(files)))
    found = [files[place] for place in order]
    others = [file for file in found if not file.startswith(BENCH)]
    assert others == [file for file in files if not file.startswith(BENCH)]
    at = int(LATER * len(others))
    assert found == [*others[:at], *[f for f in files if f.startswith(BENCH)], *others[at:]]


@pytest.mark.parametrize("processes", [2, 3, 4, 5])
def test_no_process_begins_with_the_benchmarks(processes):
    files = [f"{BENCH}test_cold.py"] * 100 + ["tests/z.py"] * 15_000
    begins = [n * len(files) // processes for n in range(processes)]
    assert not any(files[later(files)[at]].startswith(BENCH) for at in begins)


@pytest.mark.parametrize("processes", [1, 2, 4])
def test_what_goes_on_has_most_of_the_time_that_the_process_works(processes):
    assert asked_at(12_000, processes) > 0.5 * 12_000 / processes


@given(st.integers(1, 8), st.integers(1, 40))
def test_each_process_begins_elsewhere_and_comes_to_every_file(processes, count):
    files = [Path(f"tests/test_{number}.py") for number in range(count)]
    ways = [turned(files, place, processes) for place in range(processes)]
    assert all(sorted(way) == sorted(files) for way in ways)
    firsts = [way[0] for way in ways]
    assert len(set(firsts)) == min(processes, count)
