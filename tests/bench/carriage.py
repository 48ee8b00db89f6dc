"""How far stops are off where a log curve is read by another lie on codes than it has.

`python -m tests.bench.carriage` prints the handbook's table: light is encoded by the published
curve, laid on codes one way and read another, without noise or rounding.
"""

import math

from overlays.signal.carried import CarriedCurve
from overlays.signal.curves import stops_to_linear
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Range

STOPS = (-6, -4, -2, 0, 2, 4, 6)
CURVES = ("V-Log", "S-Log3", "LogC3")

Lie = tuple[Carriage, Range]
FULL: Lie = (Carriage.FULL, Range.LIMITED)
NARROW: Lie = (Carriage.NARROW, Range.LIMITED)
STRETCHED: Lie = (Carriage.FULL, Range.STRETCHED)
TAKEN_FOR_FULL: Lie = (Carriage.FULL, Range.FULL)
MISTAKES = (("is full, read as narrow", FULL, NARROW), ("is narrow, read as full", NARROW, FULL))
"""Stretched read as full range is as far off as full read as narrow, and the other way round."""


def off_by(curve: str, stops: float, has: Lie, read: Lie) -> float | None:
    """What is read less what is true, in stops; None where no light is read, or it is cut off.

    Cut off is what lies beyond 0 to 100 % of a scale that has nothing beyond.
    """
    found = published_curve(curve)
    nominal = CarriedCurve(found, *has).nominal(stops_to_linear(stops))
    if has[1].is_whole and not 0.0 <= nominal <= 1.0:
        return None
    said = CarriedCurve(found, *read).percent_to_stops(100.0 * nominal)
    return said - stops if math.isfinite(said) else None


def row(curve: str, mistake: str, has: Lie, read: Lie) -> str:
    """A row of the table."""
    cells = [off_by(curve, stops, has, read) for stops in STOPS]
    shown = ["–" if off is None else f"{off:+.2f}".replace("-", "−") for off in cells]
    return f"| {curve} {mistake} | {' | '.join(shown)} |"


def table() -> list[str]:
    """The table, in Markdown."""
    heads = " | ".join(f"{stops:+d}".replace("-", "−") if stops else "0" for stops in STOPS)
    out = [f"| off, in stops, at | {heads} |", f"| --- |{' --- |' * len(STOPS)}"]
    return [*out, *(row(curve, *mistake) for mistake in MISTAKES for curve in CURVES)]


if __name__ == "__main__":
    print("\n".join(table()))
