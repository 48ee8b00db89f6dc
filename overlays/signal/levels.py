"""Code <-> nominal level <-> percent <-> curve value, sub-black and super-white kept.

The *nominal* level is E' of the recommendations: 0 at black, 1 at nominal peak, beyond both where
the codes go beyond. Percent is 100 times that. A curve's own 0..1 signal `v` lies on it in one of
two ways, its carriage.
"""

from dataclasses import dataclass
from enum import Enum
from functools import cache
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from overlays.signal.signal import Components, Range, Signal

FloatArray = npt.NDArray[np.float64]
Number = TypeVar("Number", float, FloatArray)


class Carriage(Enum):
    """Where a curve's 0..1 lies: on the whole code scale or on video percent."""

    FULL = "full"
    NARROW = "narrow"


@dataclass(frozen=True, slots=True)
class Scale:
    """An affine code scale: ``nominal = (code - zero) / span``; `top` is the highest code."""

    zero: float
    span: float
    top: int


@cache
def luma_scale(signal: Signal) -> Scale:
    """Scale of Y', or of R', G' and B'.

    ITU-R BT.2100-2 Table 9: narrow range (219 E' + 16) 2^(n-8), full range (2^n - 1) E'.

    Parameters
    ----------
    signal:
        Gives depth and range.

    Returns
    -------
    Scale
        In codes of that depth.

    Examples
    --------
    >>> luma_scale(Signal(bits=10))
    Scale(zero=64.0, span=876.0, top=1023)
    """
    top = (1 << signal.bits) - 1
    if signal.range.is_whole:
        return Scale(0.0, float(top), top)
    step = float(1 << (signal.bits - 8))
    zero, share = 16.0 * step, 219.0 * step / top
    black, span = zero, 219.0 * step
    for _ in range(signal.range.squeezes):
        black, span = zero + share * black, share * span
    return Scale(black, span, top)


def chroma_scale(signal: Signal) -> Scale:
    """Scale of Cb and Cr, whose nominal level is -0.5..+0.5.

    ITU-R BT.2100-2 Table 9: narrow range (224 C' + 128) 2^(n-8), full range (2^n - 1) C' + 2^(n-1).

    Parameters
    ----------
    signal:
        Gives depth and range.

    Returns
    -------
    Scale
        In codes of that depth.

    Examples
    --------
    >>> chroma_scale(Signal(10))
    Scale(zero=512.0, span=896.0, top=1023)
    """
    top = (1 << signal.bits) - 1
    middle = float(1 << (signal.bits - 1))
    if signal.range.is_whole:
        return Scale(middle, float(top), top)
    span = 224.0 * (1 << (signal.bits - 8))
    return Scale(middle, span * (span / top) ** signal.range.squeezes, top)


def link_step(signal: Signal) -> float:
    """Codes of a signal that make one of the link it was made of; 0 where it is as it was sent.

    Parameters
    ----------
    signal:
        Gives depth and range.

    Returns
    -------
    float
        In codes of that depth, which the link has too.

    Examples
    --------
    >>> round(link_step(Signal(bits=10, range=Range.STRETCHED)), 4)
    1.1678
    """
    if signal.range in {Range.LIMITED, Range.FULL}:
        return 0.0
    link = luma_scale(Signal(bits=signal.bits, range=Range.LIMITED))
    return luma_scale(signal).span / link.span


def code_to_percent(code: Number, signal: Signal) -> Number:
    """Video level in percent of a luma (or R', G', B') code; below 0 and above 100 are kept.

    Parameters
    ----------
    code:
        A number or an array.
    signal:
        Gives depth and range.

    Returns
    -------
    float or ndarray
        As was given.

    Examples
    --------
    >>> code_to_percent(502.0, Signal(bits=10))
    50.0
    """
    scale = luma_scale(signal)
    return (code - scale.zero) / scale.span * 100.0


def percent_to_code(percent: Number, signal: Signal) -> Number:
    """Luma code, not rounded, of a video level in percent.

    Parameters
    ----------
    percent:
        A number or an array.
    signal:
        Gives depth and range.

    Returns
    -------
    float or ndarray
        As was given.

    Examples
    --------
    >>> percent_to_code(100.0, Signal(bits=10)), percent_to_code(0.0, Signal(bits=8))
    (940.0, 16.0)
    """
    scale = luma_scale(signal)
    return scale.zero + scale.span * percent / 100.0


def carriage_line(carriage: Carriage, signal_range: Range) -> tuple[float, float]:
    """(offset, slope) of ``v = offset + slope * nominal``.

    On limited range a full-scale curve has ``code10 = 1023 v`` and nominal is ``(code10 - 64)/876``
    (8-bit codes are code10 / 4); a narrow one has ``v = nominal``. On full range the code scale
    *is* 0..1, and the two carriages are the same. On range that was made of a limited link's they
    are not: stretching takes code 64 to 0 and 940 to 1023, so that ``code / 1023`` is the nominal
    level that the link had, and a full-scale curve lies on it as it lay on the link; squeezing
    likewise.

    Parameters
    ----------
    carriage:
        How the curve's 0..1 is laid on codes.
    signal_range:
        Of the feed.

    Returns
    -------
    tuple[float, float]
        (0, 1) where the two scales are the same.

    Examples
    --------
    >>> offset, slope = carriage_line(Carriage.FULL, Range.LIMITED)
    >>> round(1023 * offset), round(1023 * (offset + slope))
    (64, 940)
    """
    if carriage is Carriage.FULL and signal_range is not Range.FULL:
        return 64.0 / 1023.0, 876.0 / 1023.0
    return 0.0, 1.0


def percent_to_value(percent: Number, carriage: Carriage, signal_range: Range) -> Number:
    """The curve's own signal `v` at a video level in percent.

    Parameters
    ----------
    percent:
        A number or an array.
    carriage:
        How the curve's 0..1 is laid on codes.
    signal_range:
        Of the feed.

    Returns
    -------
    float or ndarray
        As was given.

    Examples
    --------
    >>> round(1023 * percent_to_value(100.0, Carriage.FULL, Range.LIMITED))
    940
    """
    offset, slope = carriage_line(carriage, signal_range)
    return offset + slope * percent / 100.0


def value_to_percent(value: Number, carriage: Carriage, signal_range: Range) -> Number:
    """Video level in percent of the curve's own signal `v`.

    Parameters
    ----------
    value:
        A number or an array.
    carriage:
        How the curve's 0..1 is laid on codes.
    signal_range:
        Of the feed.

    Returns
    -------
    float or ndarray
        As was given.

    Examples
    --------
    >>> round(value_to_percent(1.0, Carriage.FULL, Range.LIMITED), 1)  # (1023 - 64) / 876
    109.5
    """
    offset, slope = carriage_line(carriage, signal_range)
    return (value - offset) / slope * 100.0


@dataclass(frozen=True, slots=True)
class Decoding:
    """Stored planes to nominal R'G'B': ``matrix @ (planes - zero)`` for each pixel.

    `matrix` is (3, 3) with the scale of the codes already in it, so that a kernel needs one
    multiply-add per term; `zero` is (3,). For R'G'B' frames the matrix is diagonal.
    """

    matrix: FloatArray
    zero: FloatArray


def decoding(signal: Signal, shift: int = 0) -> Decoding:
    """How to turn stored samples into nominal R', G', B'.

    From E'Y = Kr R' + Kg G' + Kb B', E'Cb = (B' - E'Y) / (2 - 2 Kb), E'Cr = (R' - E'Y) / (2 - 2 Kr)
    (ITU-R BT.709-6 items 3.2 and 3.3, the same form in BT.601-7 and BT.2020-2).

    Parameters
    ----------
    signal:
        Depth, range, matrix and components.
    shift:
        Bits by which stored samples lie left of their codes.

    Returns
    -------
    Decoding
        float64.

    Examples
    --------
    >>> turned = decoding(Signal(bits=10))
    >>> (turned.matrix @ ([940, 512, 512] - turned.zero)).round(6).tolist()
    [1.0, 1.0, 1.0]
    """
    luma, stored = luma_scale(signal), float(1 << shift)
    if signal.components is Components.RGB:
        return Decoding(np.eye(3) / (luma.span * stored), np.full(3, luma.zero * stored))
    chroma = chroma_scale(signal)
    kr, kg, kb = signal.matrix.weights
    red, blue = 2.0 - 2.0 * kr, 2.0 - 2.0 * kb
    matrix = np.array([[1.0, 0.0, red], [1.0, -kb * blue / kg, -kr * red / kg], [1.0, blue, 0.0]])
    spans = np.array([luma.span, chroma.span, chroma.span])
    zero = np.array([luma.zero, chroma.zero, chroma.zero])
    return Decoding(matrix / (spans * stored), zero * stored)


def encoding(signal: Signal) -> Decoding:
    """The way back: ``planes = matrix @ rgb + zero``, codes not rounded.

    Parameters
    ----------
    signal:
        Depth, range, matrix and components.

    Returns
    -------
    Decoding
        With `zero` added after the matrix.

    Examples
    --------
    >>> back = encoding(Signal(bits=10))
    >>> (back.matrix @ [0.0, 0.0, 1.0] + back.zero).round(1).tolist()  # pure blue: Cb at its peak
    [127.2, 960.0, 470.9]
    """
    back = decoding(signal)
    return Decoding(np.linalg.inv(back.matrix).astype(np.float64), back.zero)
