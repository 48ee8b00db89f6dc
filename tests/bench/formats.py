"""The whole frame by layout and by size, side by side.

python tests/bench/formats.py [--rounds N]
"""

import argparse
from collections.abc import Callable

from frames import frame_from_uyvy, ring_of, ring_of_uyvy
from ours import Painter
from timing import Timing, machine, pin_to_one_core, side_by_side

from overlays.signal.frame import Frame

LAYOUTS = ("yuyv", "nv12", "yuv420", "yuv422-10")
SIZES = {"720p": (720, 1280), "1080p": (1080, 1920), "UHD": (2160, 3840)}


def runner(frames: list[Frame]) -> Callable[[int], None]:
    """Makes the whole of one frame after another."""
    painter = Painter(frames[0].signal)
    return lambda n: painter.whole(frames[n % len(frames)])


def measure(rounds: int) -> dict[str, Timing]:
    """By layout at 1080p, and UYVY by size."""
    candidates = {
        f"uyvy {name}": runner([frame_from_uyvy(b) for b in ring_of_uyvy(*size)])
        for name, size in SIZES.items()
    }
    for layout in LAYOUTS:
        candidates[f"{layout} 1080p"] = runner(ring_of(layout, *SIZES["1080p"]))
    return side_by_side(candidates, rounds)


def main() -> None:
    """Time and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=40)
    asked = parser.parse_args()
    pin_to_one_core()
    times = measure(asked.rounds)
    print(f"whole frame, ms, median (middle half) of {asked.rounds}; {machine()}")
    for name, timing in times.items():
        print(f"{name:18s} {timing}  {timing.median_ms / times['uyvy 1080p'].median_ms:5.2f}")


if __name__ == "__main__":
    main()
