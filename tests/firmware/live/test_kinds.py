"""What is made known is known to whichever thread comes first; what it is: `test_warm.py`."""

import subprocess
import sys

from tests.places import ROOT

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


SHARED = """
import numpy as np
import numba, sys
from numba.core.dispatcher import _DispatcherBase
from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from firmware.live import kinds
from firmware.system.crew_threads import ThreadCrew
from overlays.draw.layout.monitor import Monitor
from overlays.draw.picture.picture import PictureDrawer
from overlays.draw.trace.trace import TraceDrawer, trace_ground
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.published import published_curve

kinds.make_known()
met, before = set(), _DispatcherBase.typeof_pyval
def asked(self, thing):
    if not sys._getframe(1).f_code.co_filename.endswith("dispatcher.py"):
        met.add(str(numba.typeof(thing)))
    return before(self, thing)
crew = ThreadCrew(3)
crew.ask(3)
screen = np.zeros((200, 340), np.uint32)
for signal in sys.argv[1:]:
    feed = BenchFeed(f"size=320x180,signal={signal}", clock=HandClock(10**9), pace=Pace.STEP)
    frame = feed.read(1.0)
    _DispatcherBase.typeof_pyval = asked
    yard = yardstick(frame.signal, published_curve("BT.709"), shift=frame.shift)
    wants = Wants.LEVELS | Wants.CHROMA | Wants.RGB | Wants.CLIPPING
    census = take_census(frame, yard, wants, crew=crew)
    for monitor in (Monitor(), Monitor(stop_map=True), Monitor(times=2, mirrored=True)):
        for target in (np.zeros((180, 320), np.uint32), screen[4:184, 8:328]):
            PictureDrawer().draw(frame, yard, (), target, monitor, crew=crew)
    TraceDrawer().draw(census.levels, trace_ground(100, ()), (40, 50), screen[:100, :320], crew)
    _DispatcherBase.typeof_pyval = before
crew.close()
print("\\n".join(sorted(met)))
"""


def test_swaths_of_a_shared_frame_bring_nothing_but_plain_arrays():
    # A crew's threads begin at the same moment: it is here that two bring the same thing at once.
    found = said(SHARED, "uyvy", "nv12", "yuv420", "yuv422-10", "rgb")
    assert found.returncode == 0, found.stderr
    met = found.stdout.splitlines()
    assert [each for each in met if not each.startswith("array(") or "bool" in each] == []
