"""Whether the levels of a profile can be met at all by its curve on a 10-bit feed."""

import math

import numpy as np

from firmware.profiles.problems import Problem
from overlays.errors import BandError
from overlays.measure.counting.bands import Band, BandKind, code_band
from overlays.measure.counting.yardstick import Yardstick, yardstick
from overlays.signal.curves import Curve
from overlays.signal.levels import Carriage, code_to_percent, luma_scale
from overlays.signal.quantities import Level
from overlays.signal.signal import Range, Signal


def level_problems(
    curve: Curve,
    carriage: Carriage | None,
    quantisation: Range | None,
    levels: dict[str, Level],
    bands: dict[int, Band],
) -> list[Problem]:
    """What of target, clip, floor (`levels`, by key) and stripes (by their place) cannot be."""
    signal = Signal(bits=10, range=quantisation or Range.LIMITED)
    with np.errstate(all="ignore"):
        yard = yardstick(signal, curve, carriage)
        if not math.isfinite(yard.carried.stops_to_percent(0.0)):
            return [Problem(("curve",), "its parameters give no level to mid-grey; check them")]
        return [
            *_outside(levels, yard),
            *_out_of_order(levels, yard),
            *_bands(bands, yard),
        ]


def _spoken(percent: float, yard: Yardstick) -> str:
    stops = yard.carried.percent_to_stops(percent)
    return f"{percent:.1f} % ({stops:+.1f} st)" if math.isfinite(stops) else f"{percent:.1f} %"


def _outside(levels: dict[str, Level], yard: Yardstick) -> list[Problem]:
    scale = luma_scale(yard.signal)
    low = code_to_percent(0.0, yard.signal)
    high = code_to_percent(float(scale.top), yard.signal)
    where = f"what {yard.carried.curve.name} carries, {_spoken(low, yard)} to {_spoken(high, yard)}"
    return [
        Problem((key,), f"{level} lies outside {where}; move it inside")
        for key, level in levels.items()
        if not low - 1e-6 <= level.percent(yard.carried) <= high + 1e-6
    ]


def _out_of_order(levels: dict[str, Level], yard: Yardstick) -> list[Problem]:
    problems = []
    for lower, higher in (("floor", "clip"), ("floor", "target"), ("target", "clip")):
        if lower in levels and higher in levels:
            low, high = levels[lower], levels[higher]
            if low.percent(yard.carried) >= high.percent(yard.carried):
                problems.append(
                    Problem((lower,), f"{low} is not below {higher}, {high}; exchange or move them")
                )
    return problems


def _bands(bands: dict[int, Band], yard: Yardstick) -> list[Problem]:
    problems = []
    for place, band in bands.items():
        try:
            code_band(band, yard)
        except BandError as fault:
            problems.append(Problem(("stripes", place), str(fault)))
    ceilings = [(p, b) for p, b in bands.items() if b.kind is BandKind.ABOVE]
    floors = [(p, b) for p, b in bands.items() if b.kind is BandKind.BELOW]
    for place, ceiling in ceilings:
        for other, floor in floors:
            if ceiling.at.percent(yard.carried) <= floor.at.percent(yard.carried):
                what = f"{ceiling} and {floor} of stripes[{other + 1}] stripe the whole picture"
                problems.append(
                    Problem(("stripes", place), f"{what}; put the ceiling above the floor")
                )
    return problems
