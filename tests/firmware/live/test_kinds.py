"""What is made known is all that loops are brought by more than one thread."""

import subprocess
import sys

import numba

from firmware.live.kinds import kinds
from tests.places import ROOT

OF_ONE_THREAD = ("Cloud(", "Encoder(", "Plate(", "Output(", "UnitCount(", "BlockCoding(")
"""The bench's picture and a compressed frame are made in the capturing thread alone."""

MEETING = """
import numba, sys
from numba.core.dispatcher import _DispatcherBase
from firmware.live import warm

met, before = set(), _DispatcherBase.typeof_pyval
def asked(self, thing):
    # By numba's own table, before it enters a kind; not by its words for what it cannot call.
    if not sys._getframe(1).f_code.co_filename.endswith("dispatcher.py"):
        met.add(str(numba.typeof(thing)))
    return before(self, thing)
_DispatcherBase.typeof_pyval = asked
warm.main()
print("\\n".join(sorted(met)))
"""
RACE = """
import sys, threading, time
from numba.core.dispatcher import _DispatcherBase
from firmware.live import kinds

if "known" in sys.argv:
    kinds.make_known()
before, both, met = _DispatcherBase.typeof_pyval, threading.Barrier(2, timeout=20.0), []
def asked(self, thing):
    found = before(self, thing)
    if not sys._getframe(1).f_code.co_filename.endswith("dispatcher.py"):
        met.append(thing)
        both.wait()  # two threads that are between looking a kind up and entering it
    return found
_DispatcherBase.typeof_pyval = asked
kinds._nothing._can_compile = False
def bring():
    try:
        kinds._nothing((0, 0, 0, 0))
    except TypeError:
        pass
threads = [threading.Thread(target=bring) for _ in range(2)]
for each in threads: each.start()
for each in threads: each.join()
print(f"went on, {len(met)} new")
"""


def said(script: str, *words: str) -> subprocess.CompletedProcess[str]:
    """A process of its own, since numba's table is one for the whole process."""
    return subprocess.run(
        [sys.executable, "-c", script, *words],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


def test_a_new_kind_is_entered_by_each_of_two_threads_and_a_known_one_by_none():
    found = said(RACE)
    # Built with assertions, as numba for the board's Python is, it ends the process there.
    assert found.stdout == "went on, 2 new\n" or "_Numba_hashtable_set" in found.stderr
    assert said(RACE, "known").stdout == "went on, 0 new\n"


def test_what_is_made_known_is_what_several_threads_bring():
    found = said(MEETING)
    assert found.returncode == 0, found.stderr
    met = set(found.stdout.splitlines()[1:])
    plain = {each for each in met if each.startswith("array(") and "bool" not in each}
    several = {each for each in met - plain if not each.startswith(OF_ONE_THREAD)}
    assert several - {"int64", "float64"} == {str(numba.typeof(each)) for each in kinds()}
