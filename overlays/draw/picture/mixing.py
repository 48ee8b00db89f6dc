"""From scaled codes to display levels: whole-number matrices, and the view transform.

The picture is for eyes: 16-bit arithmetic with four bits behind the point. No measurement passes
through here.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.yardstick import Yardstick
from overlays.signal.carried import CarriedCurve
from overlays.signal.curves import Family, linear_to_stops
from overlays.signal.levels import chroma_scale, luma_scale
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Signal

FRACTION_BITS = 4
"""Bits behind the point of a display level of 0..255 while it is being mixed."""

VIEW_LOW, VIEW_HIGH, VIEW_STEPS = -0.125, 1.25, 2040
"""Nominal levels that a view transform tells apart, and its steps to nominal 1.0."""

KNEE_LEVEL = 0.75
"""Display level above which highlights of a log picture are pressed together up to the clip."""

ViewTable = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True, eq=False)
class Mix:
    """Whole numbers of the matrix, for codes multiplied by some scale.

    A display level with four bits behind the point is
    ``sum_k (((code_k - zero_k) << lift) * gain_k >> 16) + offset``, codes and zeros scaled.

    Attributes
    ----------
    gains:
        (5,) int16. Y'CbCr: luma, Cr to red, Cb to green, Cr to green, Cb to blue; R'G'B': the
        first counts for all three.
    offsets:
        (3,) int16 for red, green, blue: black, rounding, and the halves lost by rounding down.
    lift:
        Bits by which scaled codes are shifted to fill 16.
    chroma_zero:
        Scaled code of no colour.
    """

    gains: npt.NDArray[np.int16]
    offsets: npt.NDArray[np.int16]
    lift: int
    chroma_zero: int


MOST_GAIN = 32767
"""Of 16 bits with a sign."""


def mix(signal: Signal, drawn_bits: int, scale: int) -> Mix:
    """The matrix for codes of `drawn_bits` bits multiplied by `scale`.

    A range that was squeezed into fewer codes needs more gain, at some scales more than 16 bits
    hold: its picture is then drawn darker as a whole, by a quarter at the most, with its colours
    and its black as they are.
    """
    largest = ((1 << drawn_bits) - 1) * scale
    lift = (32767 // largest).bit_length() - 1
    if lift < 0:
        raise ValueError(f"codes of {drawn_bits} bits times {scale} overflow 16 bits")
    kept = float(1 << (signal.bits - drawn_bits))
    unit = 255.0 * (1 << FRACTION_BITS)
    luma = luma_scale(signal)
    step = kept / (scale * float(1 << lift)) * 65536.0
    luma_gain = unit / luma.span * step
    black = -luma.zero / luma.span * unit
    if signal.components is Components.RGB:
        gains, terms, zero = [luma_gain, 0.0, 0.0, 0.0, 0.0], [1, 1, 1], 0
    else:
        chroma = chroma_scale(signal)
        kr, kg, kb = signal.matrix.weights
        red, blue = 2.0 - 2.0 * kr, 2.0 - 2.0 * kb
        colour = [red, -kb * blue / kg, -kr * red / kg, blue]
        gains = [luma_gain, *(unit / chroma.span * step * part for part in colour)]
        terms, zero = [2, 3, 2], round(chroma.zero / kept) * scale
    held = min(1.0, MOST_GAIN / max(gains))
    gains, black = [held * gain for gain in gains], held * black
    half = float(1 << (FRACTION_BITS - 1))
    offsets = [round(black + half + term / 2.0) for term in terms]
    return Mix(np.round(gains).astype(np.int16), np.array(offsets, np.int16), lift, zero)


def view_table(yard: Yardstick) -> ViewTable | None:
    """What makes the picture of a curve look normal on the screen, or None where it does already.

    Display level 0..255 by nominal R', G' or B' level from `VIEW_LOW` to `VIEW_HIGH`: light of the
    scene, drawn through the camera curve of ITU-R BT.709-6 item 1.2 so that mid-grey falls where
    a standard camera puts it, with a shoulder of our own that keeps the clip below white.
    """
    if yard.carried.curve.family is Family.STANDARD:
        return None
    count = round((VIEW_HIGH - VIEW_LOW) * VIEW_STEPS) + 1
    nominal = VIEW_LOW + np.arange(count) / VIEW_STEPS
    level = _shown(yard.carried, nominal, yard.clip_stops)
    return np.clip(np.rint(level * 255.0), 0.0, 255.0).astype(np.uint8)


def _shown(
    carried: CarriedCurve, nominal: npt.NDArray[np.float64], clip_stops: float
) -> npt.NDArray[np.float64]:
    light = np.maximum(carried.light(nominal), 0.0)
    standard = published_curve("BT.709")
    level = standard.encode(light)
    knee_stops = standard.value_to_stops(KNEE_LEVEL)
    if not clip_stops > knee_stops + 0.5:
        return level
    # Above the knee the level is a power of the way (in stops) to the clip, with the slope of the
    # curve at the knee so that no edge shows there.
    near = 0.01
    slope = (standard.stops_to_value(knee_stops + near) - KNEE_LEVEL) / near
    span = clip_stops - knee_stops
    power = max(slope * span / (1.0 - KNEE_LEVEL), 1.0)
    over = np.clip((linear_to_stops(light) - knee_stops) / span, 0.0, 1.0)
    shoulder = KNEE_LEVEL + (1.0 - KNEE_LEVEL) * (1.0 - (1.0 - over) ** power)
    return np.where(level > KNEE_LEVEL, shoulder, level)
