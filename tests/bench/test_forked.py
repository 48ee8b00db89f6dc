"""Commands that are forked say and end as those that start by themselves."""

import os
from pathlib import Path

import pytest

from tests.bench.forked import Nursery
from tests.running import environment, process


@pytest.fixture(scope="module")
def nursery():
    made = Nursery(environment())
    yield made
    made.close()


def forked(nursery, *words):
    """What a command writes, its status and the seconds it was busy, and waited."""
    pipe, output = os.pipe()
    nursery.start(words, output)
    os.close(output)
    said = b"".join(iter(lambda: os.read(pipe, 1 << 16), b""))
    os.close(pipe)
    return said.decode(), *nursery.ended(60.0)


@pytest.mark.parametrize("words", [("profiles", "--curves"), ("read", "no-such-file.mov")])
def test_a_forked_command_says_and_ends_as_one_that_starts_by_itself(nursery, words):
    said, status, busy_s, waited_s = forked(nursery, *words)
    apart = process(*words)
    assert (said, status) == (apart.stdout + apart.stderr, apart.returncode)
    assert busy_s > 0.0
    assert waited_s >= 0.0


def test_one_that_does_not_end_is_waited_for_no_longer_than_asked_and_can_be_ended(nursery):
    pipe, output = os.pipe()
    pid = nursery.start(("run", "bench:size=320x180", "--size", "320x240"), output)
    os.close(output)
    assert os.read(pipe, 1)  # it runs
    with pytest.raises(TimeoutError):
        nursery.ended(0.05)
    os.kill(pid, 9)
    assert nursery.ended(60.0)[0] == -9
    os.close(pipe)


def test_nothing_runs_beside_the_process_that_forks(nursery):
    forked(nursery, "profiles", "--curves")
    assert len(list(Path(f"/proc/{nursery.pid}/task").iterdir())) == 1
