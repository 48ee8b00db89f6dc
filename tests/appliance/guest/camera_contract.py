"""Inside the guest: the camera feed on the real picamera2 and libcamera; prints what it found.

    python camera_contract.py RECORD.json

One object of JSON on the last line.
"""

import inspect
import json
import sys
import time
from pathlib import Path

import numpy as np
import picamera2
import picamera2.job

from firmware.clock import SystemClock
from firmware.errors import FirmwareError
from firmware.feeds.base import FeedState
from firmware.feeds.camera import open_camera
from firmware.feeds.camera_settled import BUFFERS
from overlays.signal.frame import Frame

found: dict[str, object] = {}
clock = SystemClock()


def refused(text: str) -> str:
    """What is said where a camera is asked for what it has not."""
    try:
        open_camera(text, clock).close()
    except FirmwareError as fault:
        return str(fault)
    return ""


def differs() -> list[str]:
    """Calls whose parameters are not those of the record."""
    classes = {
        "Picamera2": picamera2.Picamera2,
        "Job": picamera2.job.Job,
        "CompletedRequest": picamera2.CompletedRequest,
        "MappedArray": picamera2.MappedArray,
    }
    out = []
    for name, recorded in json.loads(Path(sys.argv[1]).read_text())["calls"].items():
        library, _, method = name.partition(".")
        call = inspect.getattr_static(classes[library], method)
        call = call.fget if isinstance(call, property) else call
        names = [each for each in inspect.signature(call).parameters if each != "self"]
        if sorted(names) != sorted(recorded):
            out.append(f"{name}({', '.join(names)})")
    return out


def next_frame(feed) -> Frame:
    """The next one, or an end."""
    for _ in range(200):
        got = feed.read(0.5)
        if isinstance(got, Frame):
            return got
    raise SystemExit(f"no frame: {got}")


found["differs"] = differs()
feed = open_camera("size=1280x720", clock)
info = feed.info
found["info"] = [info.columns, info.rows, info.description, info.signal.range.value]
codes, ages, numbers = set(), [], []
for _ in range(10):
    frame = next_frame(feed)
    middles = [frame.planes[0][360, 128 + 256 * n] for n in range(5)]
    chroma = [[plane[180, 64 + 128 * n] for n in range(5)] for plane in frame.planes[1:]]
    codes.add(json.dumps([np.array(middles).tolist(), np.array(chroma).tolist()]))
    ages.append((clock.now_ns() - frame.time_ns) / 1e9)
    numbers.append(frame.number)
    feed.release(frame)
    feed.release(frame)
found["codes"], found["ages"], found["numbers"] = sorted(codes), ages, numbers
found["flat"] = bool(
    all(np.ptp(frame.planes[0][:, 20 + 256 * n : 230 + 256 * n]) == 0 for n in range(5))
)
lent = []
while len(lent) < BUFFERS and isinstance(got := feed.read(5.0), Frame):
    lent.append(got)
start = time.monotonic()
starved = feed.read(0.3)
found["starved"] = [len(lent), str(starved), time.monotonic() - start]
for frame in lent[1:]:
    feed.release(frame)
found["again"] = isinstance(next_frame(feed), Frame)
held = refused("size=1280x720")
found["held"] = held
# One is lent, and one is asked for: what the library's own stop would wait behind.
feed.read(0.0)
start = time.monotonic()
feed.close()
feed.close()
found["closed"] = [time.monotonic() - start, str(feed.read(0.1)), str(FeedState.GONE)]
other = open_camera("size=1000x700", clock)
found["other"] = [other.info.columns, other.info.rows, other.info.description]
found["other_frame"] = list(next_frame(other).planes[0].shape)
other.close()
found["raw"] = refused("raw,size=1280x720")
found["absent"] = refused("number=7")
print(json.dumps(found))
