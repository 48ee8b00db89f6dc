"""How far a press moves the level of a stripe. Pure."""

from dataclasses import replace

from overlays.measure.counting.bands import Band
from overlays.signal.quantities import Level, Unit

THIRD_STOP = 1.0 / 3.0
"""Camera controls move in third stops (common practice, no source)."""

PERCENT_STEP = 1.0
LEVEL_LIMITS = {Unit.STOPS: (-14.0, 14.0), Unit.PERCENT: (-7.0, 109.0)}
"""How far a stripe can be nudged: what any curve and any code of limited range holds."""


def nudged(level: Level, by: int) -> Level:
    """The level `by` steps further up (negative: down), within what any feed holds."""
    low, high = LEVEL_LIMITS[level.unit]
    step = THIRD_STOP if level.unit is Unit.STOPS else PERCENT_STEP
    moved = min(max(level.number + by * step, low), high)
    whole = round(moved / step) * step
    # Thirds add up to whole stops: what is a rounding error away from a step is that step.
    return Level((whole if abs(whole - moved) < 1e-9 else moved) + 0.0, level.unit)


def with_nudged(bands: tuple[Band, ...], selected: int, by: int) -> tuple[Band, ...]:
    """The bands with the selected one nudged."""
    return tuple(
        replace(band, at=nudged(band.at, by)) if number == selected else band
        for number, band in enumerate(bands)
    )
