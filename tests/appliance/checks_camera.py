"""The camera feed on the real picamera2 and libcamera, with a virtual camera of known codes."""

import json
import sys
from pathlib import Path

from camera_image import GIVEN, camera
from machine import Machine, MachineError

HERE = Path(__file__).parent
sys.path.insert(0, str(GIVEN))

from codes import BLUE, LUMA, RED  # noqa: E402 - of the guest

HOME = "/opt/midgrey/current/bin"
RECORD = HERE.parent / "reference/picamera2.json"
# picamera2 takes its buffers from a heap of the board's own kernel; this one's is called otherwise.
HEAP = "ln -sf system /dev/dma_heap/linux,cma"
# With the kernels that were made when it was installed: an emulated board takes minutes for them.
AS_UNIT = "env $(cat /etc/midgrey/environment) NUMBA_CACHE_DIR=/var/cache/midgrey/kernels"


def real_stack(folder: Path) -> str:
    """Its contract, its codes, and what the command and the screen make of them."""
    with Machine(camera(), folder / "camera") as machine:
        machine.until_answering()
        machine.check(f"systemctl stop midgrey.service; modprobe dma_heap; {HEAP}", 90.0)
        machine.put("/run/tests/contract.py", (HERE / "guest/camera_contract.py").read_bytes())
        machine.put("/run/tests/record.json", RECORD.read_bytes())
        said = machine.check(
            f"cd / && {HOME}/python /run/tests/contract.py /run/tests/record.json", 600.0
        )
        found = _found(said)
        _contract(found)
        read = f"{AS_UNIT} {HOME}/midgrey read camera:size=1280x720 --json --at"
        stops = {}
        for number, luma in enumerate(LUMA):
            text = machine.check(f"{read} {128 + 256 * number},360", 300.0)
            stops[luma] = json.loads(text[text.index("{") :])["spots"][0]
        _percents(stops)
        run = f"{HOME}/midgrey run camera:size=1280x720 --frames 3 --screenshot /run/seen.png"
        machine.check(f"{AS_UNIT} SDL_VIDEODRIVER=dummy {run}", 900.0)
        size = machine.check("stat -c %s /run/seen.png")
        assert int(size) > 20_000, size
    return f"{len(found['codes'])} pictures exact, closed in {found['closed'][0]:.2f} s"


def _found(said: str) -> dict:
    """What the guest's program found: its last words, but for what the library says at its end."""
    lines = [line for line in said.splitlines() if line.startswith('{"')]
    if not lines:
        raise MachineError(f"the camera's contract was not told:\n{said}")
    return json.loads(lines[-1])


def _contract(found: dict) -> None:
    assert found["differs"] == [], found["differs"]
    columns, rows, words, reach = found["info"]
    assert (columns, rows, reach) == (1280, 720, "limited"), found["info"]
    assert "picture 1280x720" in words, words
    wanted = {json.dumps([list(LUMA[::n]), [list(BLUE[::n]), list(RED[::n])]]) for n in (1, -1)}
    assert set(found["codes"]) <= wanted, found["codes"]
    assert found["flat"], "the columns are not flat"
    assert found["numbers"] == list(range(10)), found["numbers"]
    assert all(0.0 <= age < 10.0 for age in found["ages"]), found["ages"]
    lent, state, waited = found["starved"]
    assert (lent, state) == (4, "FeedState.NO_FRAME_YET"), found["starved"]
    assert waited < 5.0, waited
    assert found["again"]
    assert "no other program uses it" in found["held"], found["held"]
    took, state, gone = found["closed"]
    assert state == gone, found["closed"]
    assert took < 20.0, took
    columns, rows, words = found["other"]
    assert "1000x700 was asked for" in words or (columns, rows) == (1000, 700), found["other"]
    assert found["other_frame"] == [rows, columns], found
    assert "no counts of its sensor" in found["raw"], found["raw"]
    assert "number 7 cannot be opened" in found["absent"], found["absent"]


def _percents(spots: dict) -> None:
    """Of limited range: (code - 16) / 219, ITU-R BT.709; one of the two orders is in view."""
    seen = [round(spot["percent"], 2) for spot in spots.values() if spot["percent"] is not None]
    truth = {round((code - 16) / 2.19, 2) for code in LUMA}
    assert seen, spots
    assert set(seen) <= truth, (seen, truth)
