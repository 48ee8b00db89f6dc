"""Signs in the counts of luma and chroma, which are counted anyway."""

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.census import Census, histogram, level_scale
from overlays.measure.counting.clip import picture_codes
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.suspicion.comb import comb
from overlays.measure.suspicion.suspected import Sign, Suspicion
from overlays.signal.curves import Family
from overlays.signal.levels import luma_scale
from overlays.signal.signal import Range, Signal

FloatArray = npt.NDArray[np.float64]

RESERVED_SHARE = 0.001
"""Of the picture on codes that video must not use: overshoot of a sharpened edge is less (ten times
that is what EBU R 103 lets pass)."""

BELOW_BLACK_SHARE = 0.02
"""Of the picture below a log curve's black by more than `BELOW_BLACK`: noise puts less there."""

BELOW_BLACK = 0.02
"""Share of the scale: five times what a camera's black may be off (`feedcheck.tolerances`)."""

LOG_ENDS = (0.025, 0.10)
"""Where the black of published log curves lies on the nominal scale of limited range: 0.03 to 0.125
(tests/reference/curves.csv, pct_000), narrow carriage left out."""

CHROMA_SHARE = 0.002
"""Of the samples of chroma on the last code of their range, with none beyond."""


def by_levels(census: Census, yard: Yardstick) -> tuple[Suspicion, ...]:
    """Every sign that the counts of one frame show.

    Parameters
    ----------
    census:
        With its counts of levels, and of chroma where they were counted.
    yard:
        What the frame is read with.

    Returns
    -------
    tuple[Suspicion, ...]
        The gravest first; empty where the picture is as it should be.

    Examples
    --------
    >>> from overlays.measure.counting.census import take_census
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> wide = take_census(grey_frame([[0, 1023], [400, 600]], cell=16), VIDEO)
    >>> [each.sign.name for each in by_levels(wide, VIDEO)]  # limited range ends at 4 and 1019
    ['RESERVED']
    """
    counts = histogram(census).astype(np.float64)
    found = (
        _reserved(counts, census, yard.signal),
        comb(counts, census.bits, yard.signal),
        _squeezed(counts, census, yard),
        _below_log(counts, census, yard),
        _log(counts, census, yard),
        _chroma(census, yard.signal),
    )
    return tuple(each for each in found if each is not None)


def _shared(sign: Sign, share: float, pixels: float) -> Suspicion:
    """A share of so many pixels; neighbours go together, so that a hundredth of them counts."""
    return Suspicion(sign, share, 1.96 * float(np.sqrt(share * (1.0 - share) / (pixels / 100.0))))


def _reserved(counts: FloatArray, census: Census, signal: Signal) -> Suspicion | None:
    if signal.range is not Range.LIMITED:
        return None
    low, high = picture_codes(Signal(census.bits))
    share = float(counts[:low].sum() + counts[high + 1 :].sum()) / counts.sum()
    return _shared(Sign.RESERVED, share, counts.sum()) if share > RESERVED_SHARE else None


def _squeezed(counts: FloatArray, census: Census, yard: Yardstick) -> Suspicion | None:
    """Standard gamma whose black and white both lie exactly where a squeeze puts them."""
    if yard.signal.range is not Range.LIMITED or yard.carried.curve.family is not Family.STANDARD:
        return None
    total = counts.sum()
    filled = np.flatnonzero(counts > 1e-4 * total)
    if filled.size == 0:
        return None
    for of in (Range.SQUEEZED, Range.SQUEEZED_TWICE):
        scale = luma_scale(Signal(census.bits, of))
        black, white = scale.zero, scale.zero + scale.span
        step = (1 << census.bits) / 256.0
        near = abs(filled[0] - black) <= 1.5 * step and abs(filled[-1] - white) <= 1.5 * step
        pile = counts[int(white - 2 * step) : int(white + 2 * step) + 1].sum() / total
        if near and pile > 0.002:
            return _shared(Sign.SQUEEZED, float(pile), total)
    return None


def _below_log(counts: FloatArray, census: Census, yard: Yardstick) -> Suspicion | None:
    if yard.carried.curve.family is not Family.LOG:
        return None
    scale = level_scale(census, yard.signal)
    black = yard.carried.nominal(0.0) - BELOW_BLACK
    limit = int(scale.zero + scale.span * black)
    if limit <= picture_codes(Signal(census.bits, yard.signal.range))[0]:
        return None
    share = float(counts[:limit].sum() / counts.sum())
    return _shared(Sign.BELOW_LOG, share, counts.sum()) if share > BELOW_BLACK_SHARE else None


def _log(counts: FloatArray, census: Census, yard: Yardstick) -> Suspicion | None:
    """Standard gamma, and a picture of wide range that ends below where log curves have black.

    Its darkest part must be a pile, as light below the floor of a log curve is, and its brightest
    thing must not reach white. Of the pictures of known truth the standard ones spread twice as far
    at their dark end.
    """
    if yard.carried.curve.family is not Family.STANDARD:
        return None
    scale, total = level_scale(census, yard.signal), counts.sum()
    along = np.cumsum(counts) / total
    at = [
        (float(np.searchsorted(along, share)) - scale.zero) / scale.span
        for share in (0.0005, 0.005, 0.999)
    ]
    lowest, dark, highest = at
    is_floor = LOG_ENDS[0] <= lowest <= LOG_ENDS[1] and dark - lowest < 0.01
    if not is_floor or highest > 0.99 or highest - lowest < 0.4:
        return None
    return _shared(Sign.LOG, 1.0 - highest, total)


def _chroma(census: Census, signal: Signal) -> Suspicion | None:
    if census.chroma is None or signal.range is not Range.LIMITED:
        return None
    total = float(census.chroma.sum())
    for plane in (census.chroma.sum(axis=1), census.chroma.sum(axis=0)):
        for last, beyond, before in ((240, plane[241:], plane[239]), (16, plane[:16], plane[17])):
            share = float(plane[last]) / total
            if share > CHROMA_SHARE and beyond.sum() == 0 and plane[last] > 5 * before:
                return _shared(Sign.CHROMA, share, total)
    return None
