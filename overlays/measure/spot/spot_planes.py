"""What the samples under a spot say of its errors, plane by plane."""

import numpy as np

from overlays.measure.spot.uncertainty import FEWEST_ACROSS, PlaneError, plane_error
from overlays.signal.frame import Frame
from overlays.signal.signal import Components, Range

LOST_SHARE = 0.02
"""Share of a spot that may be clipped, or cut off at the lowest code, before its ± is void."""
_NEAR_CUT = 4.0
"""Standard deviations of the noise within which the lowest code cuts it off."""
_LEAST_NOISE = 0.3
"""Codes: noise that is cut off looks smaller than it is."""

Span = tuple[int, int]
"""(first, one behind the last) row or column."""


def plane_errors(frame: Frame, rows: Span, columns: Span) -> list[PlaneError]:
    """Errors of the means of the three planes under a rectangle of luma rows and columns.

    Noise is judged from `FEWEST_ACROSS` samples each way at least, outside the rectangle too.
    """
    sub = frame.signal.subsampling
    errors = []
    for index, plane in enumerate(frame.planes):
        down, across = (1, 1) if index == 0 else (sub.rows, sub.columns)
        r, c = _shared(rows, down), _shared(columns, across)
        around = plane[_widened(r, plane.shape[0]), _widened(c, plane.shape[1])]
        errors.append(plane_error(plane[slice(*r), slice(*c)], frame.shift, around))
    return errors


def _shared(span: Span, by: int) -> Span:
    """The samples that serve a span of luma, `by` to one."""
    return span[0] // by, -(-span[1] // by)


def _widened(span: Span, size: int) -> slice:
    """A span widened to what noise can be judged from, within a plane's `size`."""
    missing = FEWEST_ACROSS - (span[1] - span[0])
    if missing <= 0:
        return slice(*span)
    first = max(min(span[0] - missing // 2, size - FEWEST_ACROSS), 0)
    return slice(first, min(first + FEWEST_ACROSS, size))


def is_cut_off(frame: Frame, rows: Span, columns: Span, planes: list[PlaneError]) -> bool:
    """Whether noise is cut off at the lowest code, which makes the mean read high.

    That is code 0 of full range, and of limited range the lowest that video may use: 1 of 8 bits,
    4 of 10 (ITU-R BT.709-6 item 4, from memory: tests/reference/levels.csv). R', G' and B' must all
    be.
    """
    signal = frame.signal
    lowest = 0 if signal.range is Range.FULL else 1 << (signal.bits - 8)
    compared = 3 if signal.components is Components.RGB else 1
    for plane, error in zip(frame.planes[:compared], planes[:compared], strict=True):
        codes = plane[slice(*rows), slice(*columns)] >> frame.shift
        level = float(codes.mean()) - lowest
        near = level < _NEAR_CUT * max(error.noise, _LEAST_NOISE)
        if not near or float(np.mean(codes <= lowest)) <= LOST_SHARE:
            return False
    return True
