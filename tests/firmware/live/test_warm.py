import json
import os
import subprocess
import sys
from pathlib import Path

import numba
import numpy as np
import pytest

from firmware.live import warm
from firmware.live.kinds import kinds
from firmware.v4l2.formats import LAYOUTS
from firmware.v4l2.jpeg_check import look_at
from overlays.signal.signal import Components, Subsampling


def test_every_layout_of_a_capture_device_is_among_them():
    seen = {
        (frame.signal.components, frame.signal.subsampling, frame.signal.bits, frame.shift)
        for frame in warm.every_frame()
    }
    for layout in LAYOUTS.values():
        if not layout.compressed:
            assert (layout.components, layout.subsampling, layout.bits, layout.shift) in seen


def test_frames_of_files_are_among_them_too():
    seen = {
        (frame.signal.bits, frame.signal.subsampling, frame.planes[0].dtype)
        for frame in warm.every_frame()
        if frame.signal.components is Components.YCBCR
    }
    for subsampling in (Subsampling.S420, Subsampling.S422):
        assert (10, subsampling, np.dtype("<u2")) in seen


def test_the_walk_through_jpeg_is_compiled_as_well(monkeypatch):
    walked = []

    def seen(data):
        walked.append(data)
        return look_at(data)

    monkeypatch.setattr("firmware.v4l2.jpeg.look_at", seen)
    warm.use_jpeg()
    assert [data[:2] for data in walked] == [b"\xff\xd8"]


OF_ONE_THREAD = ("Cloud(", "Encoder(", "Plate(", "Output(", "UnitCount(", "BlockCoding(")
"""The bench's picture and a compressed frame are made in the capturing thread alone."""

WARMED = """
import json, sys
import numba
from numba.core.dispatcher import Dispatcher, _DispatcherBase
from firmware.__main__ import main
from firmware.live import warm

met, before = set(), _DispatcherBase.typeof_pyval
def asked(self, thing):
    # By numba's own table, before it enters a kind; not by its words for what it cannot call.
    if not sys._getframe(1).f_code.co_filename.endswith("dispatcher.py"):
        met.add(str(numba.typeof(thing)))
    return before(self, thing)

def known():
    rooms = [m for name, m in sys.modules.items() if name.startswith(("firmware", "overlays"))]
    kernels = [k for room in rooms for k in vars(room).values() if isinstance(k, Dispatcher)]
    return {f"{k.py_func.__name__}{each}" for k in kernels for each in k.signatures}

_DispatcherBase.typeof_pyval = asked
assert warm.main() == 0
_DispatcherBase.typeof_pyval = before
there = known()
more = {}
for words in json.loads(sys.argv[1]):
    sys.argv = ["midgrey", *words]
    try:
        main()
    except SystemExit as end:
        assert not end.code, words
    new = known() - there
    if new:
        more[" ".join(words)] = sorted(new)
    there |= new
print("found", json.dumps([more, sorted(met)]))
"""
SMALL = ["--frames", "16", "--size", "800x480"]
SCENES = Path(__file__).parents[4] / "shared/scenes"


@pytest.fixture(scope="module")
def warmed():
    """A process that is warmed and then shows pictures: loops they still compiled, kinds it met.

    One of its own, since numba's table of kinds is one for a whole process.
    """
    words = [
        ["run", "bench", *SMALL],
        ["run", "bench:exposure=4,curve=V-Log,signal=yuv422-10,noise=1", *SMALL],
    ]
    for name in ("s01-tree-10.mov", "s03-wedge36-8.mkv", "s04-forest-8.mkv"):
        if (SCENES / name).exists():
            words.append(["run", str(SCENES / name), *SMALL])
    done = subprocess.run(
        [sys.executable, "-c", WARMED, json.dumps(words)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "SDL_VIDEODRIVER": "dummy"},
    )
    assert done.returncode == 0, done.stderr[-2000:]
    assert "kernels are ready for 11 layouts" in done.stdout
    more, met = json.loads(done.stdout.rpartition("found ")[2])
    return more, set(met)


def test_all_can_be_measured_and_no_picture_brings_a_kernel_that_was_not_compiled_before(warmed):
    # In the middle of a take it would hold up the picture, on a small board for many seconds.
    more, _ = warmed
    assert more == {}


def test_what_is_made_known_is_what_several_threads_bring(warmed):
    _, met = warmed
    plain = {each for each in met if each.startswith("array(") and "bool" not in each}
    several = {each for each in met - plain if not each.startswith(OF_ONE_THREAD)}
    assert several - {"int64", "float64"} == {str(numba.typeof(each)) for each in kinds()}
