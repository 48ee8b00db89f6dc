"""Timing side by side: candidates take turns, so that a noisy machine is noisy to all of them."""

import os
import platform
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from firmware.live.kinds import make_known
from firmware.system.crew_threads import ThreadCrew, usable_cores


@dataclass(frozen=True, slots=True)
class Timing:
    """Median and spread of one candidate, milliseconds."""

    median_ms: float
    low_ms: float
    high_ms: float

    def __str__(self) -> str:
        return f"{self.median_ms:8.3f}  ({self.low_ms:.3f} to {self.high_ms:.3f})"


def side_by_side(
    candidates: dict[str, Callable[[int], None]], rounds: int, warm: int = 2, streak: int = 1
) -> dict[str, Timing]:
    """Time each candidate in every round; it is handed the number of its call.

    `streak` is how often one after the other: the first finds the caches full of what the candidate
    before it left there, those after it what it left there itself, as with the frames of a feed.
    All are counted. The spread is the middle half of them.
    """
    taken: dict[str, list[float]] = {name: [] for name in candidates}
    for turn in range(rounds + warm):
        for name, run in candidates.items():
            for number in range(turn * streak, (turn + 1) * streak):
                start = time.perf_counter_ns()
                run(number)
                if turn >= warm:
                    taken[name].append((time.perf_counter_ns() - start) / 1e6)
    return {name: _summary(values) for name, values in taken.items()}


def _summary(values: list[float]) -> Timing:
    if len(values) < 2:
        return Timing(values[0], values[0], values[0])
    low, median, high = statistics.quantiles(values, n=4)
    return Timing(median, low, high)


def machine() -> str:
    """What this runs on, in one line."""
    model = platform.machine()
    cpuinfo = Path("/proc/cpuinfo")
    if cpuinfo.is_file():
        for line in cpuinfo.read_text(encoding="utf-8", errors="replace").splitlines():
            if line.startswith(("model name", "Model")):
                model = line.split(":", 1)[1].strip()
                break
    return f"{model}, {os.cpu_count()} cores, Python {platform.python_version()}, one core used"


def two_workers() -> ThreadCrew:
    """The caller and one helper, which stays off the core of `pin_to_one_core`: call this first."""
    make_known()
    crew = ThreadCrew(2)
    crew.ask(2)
    cores = usable_cores()
    if cores > 1 and hasattr(os, "sched_setaffinity"):
        all_of_them = os.sched_getaffinity(0)
        os.sched_setaffinity(0, all_of_them - {max(all_of_them)})
        crew.together(
            [lambda: None] * 2
        )  # helpers begin with the first work, and stay where they are
        os.sched_setaffinity(0, all_of_them)
    return crew


def pin_to_one_core() -> None:
    """Stay on one core from here on, where the system lets us."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {max(os.sched_getaffinity(0))})
