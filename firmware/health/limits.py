"""Where it begins to matter, each limit with its source."""

from collections.abc import Sequence
from dataclasses import dataclass

from firmware.health.condition import Severity


@dataclass(frozen=True, slots=True)
class Limit:
    """A severity that begins at `rise` and ends below `fall`, so that it does not flicker."""

    severity: Severity
    rise: float
    fall: float


TEMPERATURE_C = (
    Limit(Severity.ALARM, 85.0, 82.0),
    Limit(Severity.WARNING, 80.0, 75.0),
)
"""From 80 °C on the processor is slowed down step by step, at 85 °C graphics as well: raspberrypi/
documentation, computers/raspberry-pi/frequency-management.adoc (0456a78c). The warning ends 5 °C
lower, as the steps of the fan do there; that the limit is over is said sooner."""

SOFT_C = 60.0
"""Where the 3 Model B+, and it alone, begins to slow down a little: the same page."""
SOFT_MODEL = "3 Model B Plus"

PICTURE_BYTES = 1920 * 1080 * 3
"""The largest screenshot, as if nothing of it could be compressed (`LARGEST` of the screen)."""

PICTURES_LEFT = (
    Limit(Severity.ALARM, -1.0, -1.2),
    Limit(Severity.WARNING, -10.0, -12.0),
)
"""Room for so many of them, negative since less is worse: for none, or only a few. Our own
choice; common practice, no source."""

PASSED_SHARE = (Limit(Severity.WARNING, 0.55, 0.45),)
"""More than every second frame not looked at: what lasts for one frame is missed more often than
seen. Every second one of 50 is fine. Our own choice; common practice, no source."""

DAMAGED_SHARE = (Limit(Severity.WARNING, 0.01, 0.002),)
"""One frame in a hundred: a lead that works gives none, and a change of the source costs a few.
Our own choice; common practice, no source."""

LATE_S = (Limit(Severity.WARNING, 0.25, 0.2),)
"""A quarter of a second from the camera to the screen, where a hand on the iris no longer feels
what it does. Our own choice; common practice, no source."""


def graded(value: float, limits: Sequence[Limit], before: Severity) -> Severity:
    """How grave a value is.

    Parameters
    ----------
    value:
        More is worse.
    limits:
        The gravest first.
    before:
        How grave it was at the look before: what had begun ends only below its `fall`.
    """
    for limit in limits:
        if value >= (limit.fall if before >= limit.severity else limit.rise):
            return limit.severity
    return Severity.FINE
