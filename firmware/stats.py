"""What a run counts of itself: frames, ages, time per stage, memory. Bounded, whatever the run."""

import os
from collections.abc import Callable
from pathlib import Path

import numpy as np

KEPT = 16_384
"""Newest samples of each series: four and a half minutes at 60 frames a second."""


class Series:
    """The newest samples of something, in milliseconds; adding allocates nothing."""

    def __init__(self) -> None:
        self._samples = np.zeros(KEPT, np.float32)
        self.count = 0

    def add_ns(self, elapsed_ns: int) -> None:
        """One sample."""
        self._samples[self.count % KEPT] = elapsed_ns / 1e6
        self.count += 1

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
        pages = int((root / "self" / "statm").read_text().split()[1])
    except (OSError, ValueError, IndexError):
        return None
    return pages * os.sysconf("SC_PAGE_SIZE")


class Stats:
    """Counts of one run. Each counter is written by one thread only."""

    def __init__(self, memory: Callable[[], int | None] = resident_bytes) -> None:
        self._memory = memory
        self.frames_in = 0
        self.frames_measured = 0
        self.frames_shown = 0
        self.dropped_before_measuring = 0
        self.dropped_before_showing = 0
        self.age = Series()
        self.stages = {name: Series() for name in ("census", "spot", "range", "paint", "flip")}
        self._memory_first: int | None = None
        self._memory_most = 0

    def note_memory(self) -> None:
        """Look at resident memory; the first look is what later ones are held against."""
        now = self._memory()
        if now is None:
            return
        if self._memory_first is None:
            self._memory_first = now
        self._memory_most = max(self._memory_most, now)

    def as_object(self, wall_s: float, process_s: float) -> dict[str, object]:
        """What `--stats` writes.

        Parameters
        ----------
        wall_s, process_s:
            Time since the start, and processor time of all threads.
        """
        last = self._memory()

        def megabytes(count: int | None) -> float | None:
            return None if count is None else round(count / 1e6, 1)

        return {
            "frames": {
                "in": self.frames_in,
                "measured": self.frames_measured,
                "shown": self.frames_shown,
                "dropped": self.dropped_before_measuring + self.dropped_before_showing,
                "dropped_before_measuring": self.dropped_before_measuring,
                "dropped_before_showing": self.dropped_before_showing,
            },
            "age_ms": self.age.summary(),
            "stages_ms": {name: series.summary() for name, series in self.stages.items()},
            "seconds": round(wall_s, 3),
            "processor_seconds": round(process_s, 3),
            "memory_mb": {
                "start": megabytes(self._memory_first),
                "end": megabytes(last),
                "most": megabytes(max(self._memory_most, last or 0)),
            },
        }
