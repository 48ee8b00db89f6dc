"""One hypothesis: a curve, how it lies on codes, and what the way did to these codes."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import overload

import numpy as np

from overlays.measure.counting.clip import picture_codes
from overlays.signal.carried import CarriedCurve
from overlays.signal.curves import Curve
from overlays.signal.levels import Carriage, FloatArray, carriage_line, luma_scale
from overlays.signal.published import published_curves
from overlays.signal.signal import Range, Signal

RANGES = (
    Range.LIMITED,
    Range.FULL,
    Range.STRETCHED,
    Range.SQUEEZED,
    Range.SQUEEZED_TWICE,
)
"""In the order in which the simpler is named first where two cannot be told apart."""


@dataclass(frozen=True, slots=True)
class Delivery:
    """What arrives, as far as the luma of greys tells.

    Attributes
    ----------
    curve, carriage:
        Of the camera.
    range:
        As delivered.
    """

    curve: Curve
    carriage: Carriage
    range: Range

    @property
    def carried(self) -> CarriedCurve:
        """The curve on nominal levels."""
        return CarriedCurve(self.curve, self.carriage, self.range)

    @property
    def alike(self) -> tuple[str, float, float]:
        """What is the same for deliveries that read every grey alike: curve, and codes of its 0..1.

        Full carriage on a limited link is the code scale itself, as full range is, and as what a
        grabber makes of narrow carriage that it stretches; full range that is squeezed is narrow.
        """
        scale = luma_scale(Signal(10, self.range))
        offset, slope = carriage_line(self.carriage, self.range)
        zero = scale.zero - scale.span * offset / slope
        return self.curve.name, round(zero, 2), round(scale.span / slope, 2)

    def codes(self, linear: FloatArray, bits: int) -> FloatArray:
        """Luma codes, not rounded, of linear light; as far as the range carries them.

        Parameters
        ----------
        linear:
            Scene reflectance of a neutral, any shape.
        bits:
            Depth of the codes, 8 to 16.

        Returns
        -------
        ndarray
            In codes of that depth, of the same shape.

        Examples
        --------
        >>> from overlays.signal.published import published_curve
        >>> log = Delivery(published_curve("S-Log3"), Carriage.FULL, Range.LIMITED)
        >>> log.codes(np.array([0.18, 0.36]), bits=10).round().tolist()
        [420.0, 496.0]
        """
        signal = Signal(bits, self.range)
        scale, (low, high) = luma_scale(signal), picture_codes(signal)
        codes = scale.zero + scale.span * np.asarray(self.carried.nominal(linear))
        return np.clip(codes, low, high)

    @overload
    def stops(self, code: float, bits: int) -> float: ...
    @overload
    def stops(self, code: FloatArray, bits: int) -> FloatArray: ...
    def stops(self, code: float | FloatArray, bits: int) -> float | FloatArray:
        """Stops from mid-grey of a luma code; minus infinity or nan where it is no light.

        Parameters
        ----------
        code, bits:
            Luma, not rounded, a number or an array of any shape, and the depth of its scale.

        Returns
        -------
        float or ndarray
            Stops from mid-grey, of the same shape.

        Examples
        --------
        >>> from overlays.signal.published import published_curve
        >>> log = Delivery(published_curve("S-Log3"), Carriage.FULL, Range.LIMITED)
        >>> round(log.stops(496.0, bits=10), 2)
        1.0
        """
        scale = luma_scale(Signal(bits, self.range))
        return self.carried.percent_to_stops(100.0 * (code - scale.zero) / scale.span)


def deliveries(curves: Sequence[Curve] = ()) -> tuple[Delivery, ...]:
    """Every hypothesis: each published curve and those given besides, in each carriage and range.

    Parameters
    ----------
    curves:
        Of profiles of one's own.

    Returns
    -------
    tuple[Delivery, ...]
        On full range the two carriages are the same, and only one stands for both.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> log = Delivery(published_curve("S-Log3"), Carriage.FULL, Range.LIMITED)
    >>> log in deliveries(), len({each.range for each in deliveries()})
    (True, 5)
    """
    known = published_curves()
    return tuple(
        Delivery(curve, carriage, each)
        for curve in (*known, *(c for c in curves if c not in known))
        for each in RANGES
        for carriage in (curve.carriage, *(c for c in Carriage if c is not curve.carriage))
        if each is not Range.FULL or carriage is curve.carriage
    )
