"""One frame: what midgrey does with it against a copy, NumPy and OpenCV, from one run.

    python tests/bench/frame.py [--json] [--rounds N]

The whole frame is the census (levels by column, chroma), the picture at 1280x720 with two bands of
stripes, and the trace; `_two` is the same shared by two workers, each on a core of its own where
there are two, and `_one` by one, both a streak of frames at a time: compare these two. Results are
checked equal before anything is timed. OpenCV takes part where it is installed
(``pip install '.[bench]'``).
"""

import argparse
import importlib.util
import json
import os
from collections.abc import Callable

# Before the libraries start their pools: one core is the measure of all of them.
for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "NUMBA_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

import numpy as np
from frames import frame_from_uyvy, made_cube, ring_of, ring_of_uyvy
from numpy_way import NumpyPainter
from ours import Painter
from timing import Timing, machine, pin_to_one_core, side_by_side, two_workers

from overlays.draw.layout.monitor import Monitor, ViewTransform
from overlays.sharing.crew import Crew
from overlays.signal.frame import Frame

ROWS, COLUMNS = 1080, 1920
MONITORS = {
    "picture_stops": Monitor(stop_map=True),
    "picture_flipped": Monitor(flipped=True),
    "picture_mirrored": Monitor(mirrored=True),
    "picture_2x": Monitor(times=2),
    "picture_4x": Monitor(times=4),
    "picture_edges": Monitor(edges=True),
    "picture_cube": Monitor(transform=ViewTransform.CUBE, cube=made_cube()),
}
"""Ways of showing the picture, timed beside the usual one."""
WITHIN_CODES = 2
OTHERS = frozenset({"numpy", "numpy_scaled_first", "opencv"})
WORKERS = ("_one", "_two")
"""How names of a whole frame end that is timed for how far two workers share it."""
STREAK = 10
"""Frames that each of those has in its turn: frame after frame, as a feed's come. Between other
candidates a helper's core would have gone to sleep and its caches would be full of their work."""
BESIDE = "frame_beside"
"""Our frame, timed once more in turn with those of the others."""


def rgb(picture: np.ndarray) -> np.ndarray:
    """(rows, columns, 3) of 0x00RRGGBB pixels."""
    return np.stack([picture >> 16 & 255, picture >> 8 & 255, picture & 255], axis=-1).astype(int)


def check(name: str, levels: np.ndarray, chroma: np.ndarray, seen: np.ndarray, us: Painter) -> None:
    """Counts equal, pictures within two codes but where a stripe's edge falls between."""
    assert us.census is not None
    assert us.census.chroma is not None
    assert np.array_equal(levels, us.census.levels), f"{name}: counts by level differ"
    assert np.array_equal(chroma, us.census.chroma), f"{name}: counts by chroma differ"
    off = np.abs(seen - rgb(us.picture)).max(axis=-1) > WITHIN_CODES
    # A level that one rounds into a band and the other out of it is striped in one of them only.
    assert off.mean() < 0.002, f"{name}: {off.mean():.2%} of the picture differs"


def candidates(use_opencv: bool, crew: Crew) -> dict[str, Callable[[int], None]]:
    """Everything that is timed, checked first."""
    ring = ring_of_uyvy(ROWS, COLUMNS)
    frames = [frame_from_uyvy(buffer) for buffer in ring]
    us, theirs = Painter(frames[0].signal), NumpyPainter(Painter(frames[0].signal), COLUMNS)
    us.whole(frames[0])
    for way in (theirs.whole, theirs.whole_scaled_first):
        way(ring[0])
        check("NumPy", theirs.levels, theirs.chroma, rgb(theirs.picture), us)
    ten, uhd = ring_of("yuv422-10", ROWS, COLUMNS), ring_of_uyvy(2160, 3840)
    large = [frame_from_uyvy(buffer) for buffer in uhd]
    asked = {name: Painter(frames[0].signal) for name in MONITORS}
    us10, us_uhd = Painter(ten[0].signal), Painter(large[0].signal)
    kept = np.empty_like(ring[0])
    out: dict[str, Callable[[int], None]] = {
        "copy": lambda n: np.copyto(kept, ring[n % len(ring)]),
        "census": lambda n: void(us.count(frames[(n + 1) % len(ring)])),
        "picture": lambda n: us.paint(frames[(n + 2) % len(ring)]),
        "trace": lambda _: us.paint_trace(),
        "frame": lambda n: us.whole(frames[(n + 3) % len(ring)]),
        "numpy": lambda n: theirs.whole(ring[(n + 4) % len(ring)]),
        "numpy_scaled_first": lambda n: theirs.whole_scaled_first(ring[(n + 6) % len(ring)]),
        "frame10": lambda n: us10.whole(ten[n % len(ten)]),
        "frame_uhd": lambda n: us_uhd.whole(large[n % len(large)]),
        "frame_one": lambda n: us.whole(frames[n % len(frames)]),
        "frame_two": shared(frames, us, crew),
        "frame10_one": lambda n: us10.whole(ten[n % len(ten)]),
        "frame10_two": shared(ten, us10, crew),
        "frame_uhd_one": lambda n: us_uhd.whole(large[n % len(large)]),
        "frame_uhd_two": shared(large, us_uhd, crew),
    }
    for name, monitor in MONITORS.items():
        out[name] = painted_as(asked[name], frames, monitor)
    if use_opencv:
        from opencv_way import OpenCvPainter, cv2

        cv2.setNumThreads(1)
        others = OpenCvPainter(us, ROWS, COLUMNS)
        others.whole(ring[0])
        seen = others.picture[..., 2::-1].astype(int)
        check("OpenCV", others.levels, others.chroma, seen, us)
        out["opencv"] = lambda n: others.whole(ring[(n + 5) % len(ring)])
    return out


def shared(frames: list[Frame], us: Painter, crew: Crew) -> Callable[[int], None]:
    """The whole frame by two workers, checked to be what one makes."""
    two = Painter(frames[0].signal, crew)
    for each in (us, two):
        each.whole(frames[0])
    assert us.census is not None
    assert two.census is not None
    assert np.array_equal(us.census.levels, two.census.levels), "counts by level differ"
    assert np.array_equal(us.census.chroma, two.census.chroma), "counts by chroma differ"
    assert np.array_equal(us.picture, two.picture), "pictures differ"
    assert np.array_equal(us.trace, two.trace), "traces differ"
    return lambda n: two.whole(frames[(n + 2) % len(frames)])


def timed(every: dict[str, Callable[[int], None]], rounds: int) -> dict[str, Timing]:
    """Ours in turn; then whole frames by one worker and by two, a streak each; then the others in
    turn with our frame beside them.
    """
    own = {name: run for name, run in every.items() if name not in OTHERS}
    others = {name: run for name, run in every.items() if name in OTHERS}
    shared = {name: run for name, run in own.items() if name.endswith(WORKERS)}
    times = side_by_side({name: run for name, run in own.items() if name not in shared}, rounds)
    times |= side_by_side(shared, max(1, rounds // STREAK), streak=STREAK)
    return times | side_by_side({**others, BESIDE: every["frame"]}, rounds)


def painted_as(us: Painter, frames: list[Frame], monitor: Monitor) -> Callable[[int], None]:
    """The picture alone, as somebody has asked for it."""
    us.paint_as(frames[0], monitor)
    return lambda n: us.paint_as(frames[n % len(frames)], monitor)


def void(_: object) -> None:
    """Nothing of it."""


def ratios(times: dict[str, Timing]) -> dict[str, float]:
    """What the frame costs in copies, and what the others cost in frames."""
    frame, beside = times["frame"].median_ms, times[BESIDE].median_ms
    out = {
        "frame_in_copies": frame / times["copy"].median_ms,
        "numpy_over_frame": times["numpy"].median_ms / beside,
        "numpy_scaled_first_over_frame": times["numpy_scaled_first"].median_ms / beside,
        "frame10_over_frame": times["frame10"].median_ms / frame,
        "frame_uhd_over_frame": times["frame_uhd"].median_ms / frame,
    }
    for name in ("frame", "frame10", "frame_uhd"):
        one, two = times[f"{name}_one"].median_ms, times[f"{name}_two"].median_ms
        out[f"{name}_two_over_one"] = two / one
    picture = times["picture"].median_ms
    out |= {f"{name}_over_picture": times[name].median_ms / picture for name in MONITORS}
    if "opencv" in times:
        out["opencv_over_frame"] = times["opencv"].median_ms / beside
    return {name: round(value, 3) for name, value in out.items()}


def main() -> None:
    """Time and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="one object instead of a table")
    parser.add_argument("--rounds", type=int, default=60, help="times each candidate is run")
    asked = parser.parse_args()
    crew = two_workers()
    pin_to_one_core()
    use_opencv = importlib.util.find_spec("cv2") is not None
    times = timed(candidates(use_opencv, crew), asked.rounds)
    if asked.json:
        result: dict[str, object] = {f"{n}_ms": round(t.median_ms, 4) for n, t in times.items()}
        result.setdefault("opencv_ms", None)
        print(json.dumps({**result, "ratios": ratios(times), "machine": machine()}))
        return
    print(f"1080p UYVY unless named; ms, median (middle half) of {asked.rounds}; {machine()}")
    for name, timing in times.items():
        print(f"{name:18s} {timing}")
    for name, value in ratios(times).items():
        print(f"{name:30s} {value:7.2f}")
    if not use_opencv:
        print("OpenCV is not installed here: pip install '.[bench]' adds its row")


if __name__ == "__main__":
    main()
