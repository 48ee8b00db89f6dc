"""What a reading is measured with: a profile's curve and limits resolved for one feed's signal."""

from dataclasses import dataclass

import numpy as np

from overlays.signal.curves import CarriedCurve, Curve, Family, LightTable, light_table
from overlays.signal.levels import (
    Carriage,
    Decoding,
    FloatArray,
    code_to_percent,
    decoding,
    luma_scale,
    value_to_percent,
)
from overlays.signal.quantities import Level
from overlays.signal.signal import Components, Range, Signal


@dataclass(frozen=True, slots=True, eq=False)
class Yardstick:
    """Everything that turns codes of one signal into percent, light, clip and floor.

    Attributes
    ----------
    signal, shift:
        Of the frames it may be laid on.
    carried:
        The curve as this feed carries it.
    table:
        Look-up table of the same, for kernels.
    decoding:
        Stored samples to nominal R'G'B'.
    weights:
        Luminance weights of linear R, G, B, (3,) float64.
    clip_percent, floor_percent:
        Highest and lowest level that still carries picture.
    clip_margin_percent:
        How far below the clip a decoded R', G' or B' may lie for all that it is clipped: through
        rounding, and where the clip lies on codes that video must not use.
    """

    signal: Signal
    shift: int
    carried: CarriedCurve
    table: LightTable
    decoding: Decoding
    weights: FloatArray
    clip_percent: float
    floor_percent: float
    clip_margin_percent: float

    @property
    def clip_stops(self) -> float:
        """The clip in stops from mid-grey."""
        return self.carried.percent_to_stops(self.clip_percent)

    @property
    def floor_stops(self) -> float:
        """The floor in stops; minus infinity or nan where the floor is no light."""
        return self.carried.percent_to_stops(self.floor_percent)


def highest_video_code(signal: Signal) -> int:
    """The highest code that picture may have: 254 of 8 bits and 1019 of 10 on limited range.

    What lies above are timing references (ITU-R BT.709-6 item 4, from memory:
    tests/reference/levels.csv); on full range every code is picture.
    """
    top = luma_scale(signal).top
    return top if signal.range is Range.FULL else top - (1 << (signal.bits - 8))


def default_clip_percent(carriage: Carriage, signal: Signal, family: Family = Family.LOG) -> float:
    """Level of the curve's top (v = 1), or of the signal's top code where that is lower.

    Code 1023 for a full-scale log curve on 10 bits. Standard gamma goes on above 100 %: codes up
    to `highest_video_code` (109.0 % of 10 bits, 108.7 % of 8) carry super-white, and a camera
    clips where it stops, which is found in the picture or told in a profile.
    """
    if family is Family.STANDARD and signal.range is Range.LIMITED:
        return code_to_percent(float(highest_video_code(signal)), signal)
    top_of_curve = value_to_percent(1.0, carriage, signal.range)
    return min(top_of_curve, code_to_percent(float(luma_scale(signal).top), signal))


def default_floor_percent(carried: CarriedCurve, signal: Signal) -> float:
    """One code above the curve's black: below it the feed carries no distinct light."""
    return 100.0 * (carried.nominal(0.0) + 1.0 / luma_scale(signal).span)


def clip_margin_percent(signal: Signal) -> float:
    """Rounding of the three planes carried to the worst of R', G', B', in percent.

    Half a code of each plane; with BT.709 B' moves by half a luma code plus 0.93 nominal chroma.
    """
    luma = luma_scale(signal)
    if signal.components is Components.RGB:
        return 50.0 / luma.span
    rows = np.abs(decoding(signal).matrix).sum(axis=1)
    return float(50.0 * rows.max())


def reserved_percent(signal: Signal, clip_percent: float) -> float:
    """How far a clip lies above the highest code that video may use, in percent; 0 where it is not.

    A camera that clips at a log curve's code 1023 arrives as 1019 over a link.
    """
    if signal.range is Range.FULL:
        return 0.0
    return max(clip_percent - code_to_percent(float(highest_video_code(signal)), signal), 0.0)


def yardstick(
    signal: Signal,
    curve: Curve,
    carriage: Carriage | None = None,
    *,
    clip: Level | None = None,
    floor: Level | None = None,
    shift: int = 0,
) -> Yardstick:
    """Resolve a curve and its limits for a signal; whatever is not given has its default."""
    laid = curve.carriage if carriage is None else carriage
    carried = CarriedCurve(curve, laid, signal.range)
    clip_percent = (
        default_clip_percent(laid, signal, curve.family) if clip is None else clip.percent(carried)
    )
    margin = max(clip_margin_percent(signal), reserved_percent(signal, clip_percent))
    return Yardstick(
        signal=signal,
        shift=shift,
        carried=carried,
        table=light_table(carried),
        decoding=decoding(signal, shift),
        weights=np.array(signal.matrix.weights),
        clip_percent=clip_percent,
        floor_percent=(
            default_floor_percent(carried, signal) if floor is None else floor.percent(carried)
        ),
        clip_margin_percent=margin,
    )
