"""What a run counts of itself: frames, ages, time per stage, memory. Bounded, whatever the run."""

import os
from collections import deque
from collections.abc import Callable, Collection
from pathlib import Path

import numpy as np

from overlays.wording.read_number import whole

KEPT = 16_384
"""Newest samples of each series: four and a half minutes at 60 frames a second."""

LOOKS_A_MINUTE = 12
"""How often resident memory is looked at."""


class Series:
    """The newest samples of something, in milliseconds; adding allocates nothing."""

    def __init__(self) -> None:
        self._samples = np.zeros(KEPT, np.float32)
        self.count = 0

    def add_ns(self, elapsed_ns: int) -> None:
        """One sample."""
        self._samples[self.count % KEPT] = elapsed_ns / 1e6
        self.count += 1

    def latest_s(self, count: int) -> float | None:
        """Median of the newest so many samples, in seconds; None where there are none."""
        count = min(count, self.count, KEPT)
        if count <= 0:
            return None
        newest = np.arange(self.count - count, self.count) % KEPT
        return float(np.median(self._samples[newest])) / 1e3

    def summary(self) -> dict[str, float | None]:
        """Median and 99th percentile, None where there is no sample."""
        kept = self._samples[: min(self.count, KEPT)]
        if kept.size == 0:
            return {"p50": None, "p99": None}
        low, high = np.percentile(kept, [50.0, 99.0])
        return {"p50": round(float(low), 3), "p99": round(float(high), 3)}


def resident_bytes(root: Path = Path("/proc")) -> int | None:
    """Resident memory of this process; None where the system does not say."""
    try:
        pages = whole((root / "self" / "statm").read_text().split()[1])
    except (OSError, ValueError, IndexError):
        return None
    return pages * os.sysconf("SC_PAGE_SIZE")


class Stats:
    """Counts of one run. Each counter is written by one thread only.

    Attributes
    ----------
    is_settling:
        Whether kernels are still compiled and buffers made, so that frames are late whatever comes.
    """

    def __init__(self, memory: Callable[[], int | None] = resident_bytes) -> None:
        self._memory = memory
        self.frames_in = 0
        self.frames_measured = 0
        self.frames_shown = 0
        self.dropped_before_measuring = 0
        self.dropped_before_showing = 0
        self.age = Series()
        self.stages = {name: Series() for name in ("census", "spot", "range", "paint", "flip")}
        self.first_frame_s: float | None = None
        self._dropped_cold = 0
        self.is_settling = False
        self._first_minute: list[int] = []
        self._last_minute: deque[int] = deque(maxlen=LOOKS_A_MINUTE)

    @property
    def dropped(self) -> int:
        """Frames passed over, at either hand-over."""
        return self.dropped_before_measuring + self.dropped_before_showing

    def note_shown(self, start_ns: int, painted_ns: int, flipped_ns: int, taken_ns: int) -> None:
        """A new frame is on the screen: when painting began and ended, and when it was taken."""
        self.stages["paint"].add_ns(painted_ns - start_ns)
        self.stages["flip"].add_ns(flipped_ns - painted_ns)
        self.age.add_ns(flipped_ns - taken_ns)

    def note_warm(self) -> None:
        """From here on the run is judged: kernels are loaded, buffers are made."""
        self._dropped_cold = self.dropped
        self.is_settling = False

    def note_memory(self) -> None:
        """Look at resident memory; to be called `LOOKS_A_MINUTE` times a minute once warm."""
        now = self._memory()
        if now is None:
            return
        if len(self._first_minute) < LOOKS_A_MINUTE:
            self._first_minute.append(now)
        self._last_minute.append(now)

    def as_object(self, wall_s: float, process_s: float) -> dict[str, object]:
        """What `--stats` writes.

        Parameters
        ----------
        wall_s, process_s:
            Time since the start, and processor time of all threads.
        """

        def megabytes(looks: Collection[int]) -> float | None:
            return round(max(looks) / 1e6, 1) if looks else None

        return {
            "first_frame_s": self.first_frame_s,
            "frames": {
                "in": self.frames_in,
                "measured": self.frames_measured,
                "shown": self.frames_shown,
                "dropped": self.dropped,
                "dropped_before_measuring": self.dropped_before_measuring,
                "dropped_before_showing": self.dropped_before_showing,
                "dropped_after_warm_up": self.dropped - self._dropped_cold,
            },
            "age_ms": self.age.summary(),
            "stages_ms": {name: series.summary() for name, series in self.stages.items()},
            "seconds": round(wall_s, 3),
            "processor_seconds": round(process_s, 3),
            "memory_mb": {
                "first_minute": megabytes(self._first_minute),
                "last_minute": megabytes(self._last_minute),
            },
        }
