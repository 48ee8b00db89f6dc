"""What a second core can give at the most on this machine: `python tests/bench/two_cores.py`.

Half of what one worker takes is the least that two can, and only where cores do not share caches,
memory and clock. How far they do is seen where another process paints frames of its own on the
other core meanwhile: half of that is this machine's own floor for two workers. The parts take
turns in one run; `two` is the crew's own, for comparison.
"""

import argparse
import json
import multiprocessing
import os
from collections.abc import Callable
from multiprocessing.synchronize import Event

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "NUMBA_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

from frames import frame_from_uyvy, ring_of, ring_of_uyvy
from ours import Painter
from timing import Timing, machine, pin_to_one_core, side_by_side, two_workers

from overlays.signal.frame import Frame

SIZES = ("frame", "frame10", "frame_uhd")


def frames_of(name: str) -> list[Frame]:
    """Frames as tests/bench/frame.py has them."""
    if name == "frame10":
        return ring_of("yuv422-10", 1080, 1920)
    rows, columns = (2160, 3840) if name == "frame_uhd" else (1080, 1920)
    return [frame_from_uyvy(buffer) for buffer in ring_of_uyvy(rows, columns)]


def paint_elsewhere(name: str, goes: Event, ready: Event) -> None:
    """The other process: frames of its own on the other core, for as long as it is told to."""
    os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    frames = frames_of(name)
    painter = Painter(frames[0].signal)
    painter.whole(frames[0])
    ready.set()
    number = 0
    while True:
        goes.wait()
        painter.whole(frames[number % len(frames)])
        number += 1


def timed(name: str, rounds: int) -> dict[str, Timing]:
    """One worker alone, one beside another process, and two together."""
    goes, ready = multiprocessing.Event(), multiprocessing.Event()
    beside = multiprocessing.Process(target=paint_elsewhere, args=(name, goes, ready), daemon=True)
    beside.start()
    crew = two_workers()
    pin_to_one_core()
    frames = frames_of(name)
    one, two = Painter(frames[0].signal), Painter(frames[0].signal, crew)
    for each in (one, two):
        each.whole(frames[0])
    ready.wait(120.0)

    def with_other(number: int) -> None:
        one.whole(frames[number % len(frames)])

    turns: dict[str, Callable[[int], None]] = {
        "alone": with_other,
        "two": lambda n: two.whole(frames[n % len(frames)]),
    }
    try:
        found = side_by_side(turns, rounds)
        goes.set()
        found["beside"] = side_by_side({"beside": with_other}, rounds)["beside"]
        goes.clear()
    finally:
        beside.kill()
        beside.join()
        crew.close()
    return found


def main() -> None:
    """Time and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="one object instead of a table")
    parser.add_argument("--rounds", type=int, default=60, help="times each is run")
    asked = parser.parse_args()
    whole = os.sched_getaffinity(0)
    out: dict[str, dict[str, float]] = {}
    for name in SIZES:
        os.sched_setaffinity(0, whole)
        found = timed(name, asked.rounds)
        alone = found["alone"].median_ms
        out[name] = {
            "alone_ms": round(alone, 4),
            "beside_ms": round(found["beside"].median_ms, 4),
            "two_over_alone": round(found["two"].median_ms / alone, 3),
            "floor_over_alone": round(found["beside"].median_ms / alone / 2.0, 3),
        }
    if asked.json:
        print(json.dumps({"frames": out, "machine": machine()}))
        return
    print(f"{asked.rounds} rounds; {machine()}")
    for name, row in out.items():
        print(f"{name:10s} " + "  ".join(f"{key} {value:.3f}" for key, value in row.items()))


if __name__ == "__main__":
    main()
