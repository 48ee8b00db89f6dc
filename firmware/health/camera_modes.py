"""Which modes of a camera this processor keeps up with, by projection.

No board was at hand: `tests/bench/board.py` compiles the loops over a frame for a board's processor
and reckons how long they take there. Of two machines that this was done on it said 0.71 to 1.01 of
what a frame's loops take. It knows nothing of Python, of SDL and of what else the system does.
"""

import re
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from firmware.health.kernel_files import text_of
from firmware.system.crew_threads import usual_workers

ALLOWANCE = 1.3
"""A projection may be off by as much, either way: the most that `tests/bench/board.py` is to be."""

MODES = (("720p", 50), ("720p", 60), *(("1080p", rate) for rate in (24, 25, 30, 50, 60)))
"""Rows and frames a second, as the table of hardware/README.md has them."""


PROJECTION = "projected from its loops, no board was measured"


class Fit(Enum):
    """Whether every frame of a mode can be measured and shown; the value is what is said."""

    YES = "fits"
    DOUBTFUL = "may fit"
    NO = "does not fit"


@dataclass(frozen=True, slots=True)
class Projected:
    """What one worker takes for a frame in UYVY, by the rows of a mode.

    Attributes
    ----------
    core:
        The processor's name.
    working_ms:
        What workers share.
    moving_ms:
        What they do not: bytes to and from the memory they have in common.
    """

    core: str
    working_ms: dict[str, float]
    moving_ms: dict[str, float]

    def frame_ms(self, rows: str, workers: int) -> float:
        """Milliseconds of a frame by so many workers."""
        return self.working_ms[rows] / workers + self.moving_ms[rows]


PROJECTED = {
    # Part numbers: Arm DDI 0500 (Cortex-A53), 100095 (Cortex-A72) and 100798 (Cortex-A76), the main
    # ID register. The A53 is that of a Zero 2 W, at 1 GHz.
    "0xd03": Projected(
        "Cortex-A53", {"720p": 72.02, "1080p": 102.96}, {"720p": 5.39, "1080p": 8.00}
    ),
    "0xd08": Projected(
        "Cortex-A72", {"720p": 11.93, "1080p": 17.28}, {"720p": 3.00, "1080p": 4.45}
    ),
    "0xd0b": Projected("Cortex-A76", {"720p": 5.45, "1080p": 7.36}, {"720p": 1.32, "1080p": 1.96}),
}
"""By the part number of the processor; printed by ``tests/bench/board.py --json``, 2026-11-28."""


@dataclass(frozen=True, slots=True)
class Processor:
    """What the kernel says of the processor.

    Attributes
    ----------
    part:
        Its number, as in "0xd08"; None where there is none, as on other kinds of machine.
    cores:
        How many, at least 1.
    """

    part: str | None
    cores: int


def look_at_processor(root: Path = Path("/")) -> Processor:
    """Read it off the kernel's file; several parts on one board count as the first."""
    text = text_of(root / "proc/cpuinfo") or ""
    parts = re.findall(r"^CPU part\s*:\s*(0x[0-9a-fA-F]+)", text, re.MULTILINE)
    cores = len(re.findall(r"^processor\s*:", text, re.MULTILINE))
    return Processor(parts[0].lower() if parts else None, max(1, cores))


def judged_fit(frame_ms: float, rate: float) -> Fit:
    """Whether frames that take so long keep up with a rate.

    Examples
    --------
    >>> judged_fit(10.0, 50.0), judged_fit(18.0, 50.0), judged_fit(27.0, 50.0)
    (<Fit.YES: 'fits'>, <Fit.DOUBTFUL: 'may fit'>, <Fit.NO: 'does not fit'>)
    """
    period_ms = 1000.0 / rate
    if frame_ms * ALLOWANCE <= period_ms:
        return Fit.YES
    return Fit.DOUBTFUL if frame_ms <= period_ms * ALLOWANCE else Fit.NO


def modes_by_fit(projected: Projected, workers: int) -> dict[Fit, list[str]]:
    """The camera's modes by whether they fit, each list in the order of `MODES`."""
    out: dict[Fit, list[str]] = {fit: [] for fit in Fit}
    for rows, rate in MODES:
        out[judged_fit(projected.frame_ms(rows, workers), rate)].append(f"{rows}{rate}")
    return out


def fit_in_words(root: Path = Path("/")) -> tuple[bool | None, str]:
    """Whether all modes fit, and that in words; None where nothing was projected.

    Parameters
    ----------
    root:
        The file system to look in.

    Returns
    -------
    tuple
        True where every mode fits, False where one may not; the sentence.
    """
    found = look_at_processor(root)
    projected = PROJECTED.get(found.part or "")
    if projected is None:
        return None, "nobody has projected how long a frame takes on this processor"
    workers = usual_workers(found.cores)
    by_fit = modes_by_fit(projected, workers)
    said = [f"{', '.join(names)} {_verb(fit, names)}" for fit, names in by_fit.items() if names]
    who = "one worker" if workers == 1 else f"{workers} workers"
    words = f"{projected.core}, {who}: {'; '.join(said)} ({PROJECTION})"
    return not (by_fit[Fit.DOUBTFUL] or by_fit[Fit.NO]), words


def _verb(fit: Fit, names: list[str]) -> str:
    plural = {Fit.YES: "fit", Fit.DOUBTFUL: "may fit", Fit.NO: "do not fit"}
    return fit.value if len(names) == 1 else plural[fit]
