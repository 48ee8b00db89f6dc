"""Processes wait for each other while they compile the same loop, and never for ever."""

import fcntl
import subprocess
import sys
from types import SimpleNamespace

import pytest

from tests import compiling_once
from tests.compiling_once import LONGEST_S, STEP_S, alone, hash_of, once
from tests.places import ROOT


def is_free(lock):
    with lock.open("w") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
    return True


def test_whoever_comes_second_waits_until_the_first_is_done(tmp_path):
    lock, slept = tmp_path / "lock", []
    with lock.open("w") as other:  # as another process holds it
        fcntl.flock(other, fcntl.LOCK_EX)

        def sleep(seconds):
            slept.append(seconds)
            if len(slept) == 3:
                fcntl.flock(other, fcntl.LOCK_UN)

        with alone(lock, sleep):
            assert not is_free(lock)
    assert slept == [STEP_S] * 3
    assert is_free(lock)


def test_after_a_minute_it_goes_on_all_the_same(tmp_path):
    lock = tmp_path / "lock"
    slept: list[float] = []
    with lock.open("w") as other:
        fcntl.flock(other, fcntl.LOCK_EX)
        with alone(lock, slept.append):
            pass
    assert sum(slept) == pytest.approx(LONGEST_S)


def test_a_loop_that_compiles_one_of_its_own_name_does_not_wait_for_itself(tmp_path):
    lock = tmp_path / "lock"
    with alone(lock, pytest.fail), alone(lock, pytest.fail):
        assert not is_free(lock)
    assert is_free(lock)
    with pytest.raises(ValueError, match="as it was"), alone(lock):
        raise ValueError("as it was")
    with alone(lock, pytest.fail):  # it was let go of
        assert not is_free(lock)


def test_it_is_the_loop_that_is_waited_for_and_no_other(tmp_path):
    def body():
        pass

    def seen(*given):
        return given, [path.name for path in tmp_path.iterdir() if not is_free(path)]

    mine, loop = f"{__name__}.{body.__qualname__}", SimpleNamespace(py_func=body)
    assert once(seen, tmp_path)(loop, "kinds") == ((loop, "kinds"), [hash_of(mine)])
    assert hash_of(mine) != hash_of(mine.replace("body", "bodies"))


LOOP = """
import numba

@numba.njit(cache=True)
def added(one, other):
    return one + other
"""
USED = """
import sys
from numba.core import event
from numba.core.dispatcher import Dispatcher
from pathlib import Path
from tests.compiling_once import once

compiled = []

class Seen(event.Listener):
    def on_start(self, event):
        compiled.append(event)

    def on_end(self, event):
        pass

event.register("numba:compile", Seen())
Dispatcher.compile = once(Dispatcher.compile, Path(sys.argv[1]))
import loop
assert loop.added(1, 2) == 3
print(len(compiled))
"""


def test_of_several_processes_one_compiles(tmp_path):
    (tmp_path / "loop.py").write_text(LOOP)
    (tmp_path / "locks").mkdir()
    begun = [
        subprocess.Popen(
            [sys.executable, "-c", USED, str(tmp_path / "locks")],
            env={"PYTHONPATH": f"{ROOT}:{tmp_path}"},
            stdout=subprocess.PIPE,
            text=True,
        )
        for _ in range(2)
    ]
    said = [process.communicate(timeout=200)[0].strip() for process in begun]
    assert sorted(said) == ["0", "1"]


def test_this_very_run_compiles_so():
    from numba.core.dispatcher import Dispatcher  # noqa: PLC0415 - what is looked at

    assert Dispatcher.compile.__module__ == compiling_once.__name__
