"""What the samples under a spot say of its errors, plane by plane."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.clip import picture_codes
from overlays.measure.spot.noise import spot_noise
from overlays.measure.spot.quantiser import WIDE_ENOUGH, step_beside
from overlays.measure.spot.uncertainty import (
    FEWEST_ACROSS,
    FINE,
    Held,
    PlaneError,
    sampled_error,
)
from overlays.signal.frame import Frame, Plane
from overlays.signal.levels import link_step, luma_scale
from overlays.signal.signal import Components

LOST_SHARE = 0.02
"""Share of a spot that may be clipped, or cut off at the lowest code, before its ± is void."""
_BESIDE = 64
"""Pixels each way beside a small spot that are looked at for what a codec left."""
_NEAR_CUT = 4.0
"""Standard deviations of the noise within which the lowest code cuts it off."""
_LEAST_NOISE = 0.3
"""Codes: noise that is cut off looks smaller than it is."""

Span = tuple[int, int]
"""(first, one behind the last) row or column."""


@dataclass(frozen=True, slots=True)
class PlaneErrors:
    """Errors of the means of the three planes, and (3, 3) how their noise goes together."""

    planes: list[PlaneError]
    correlation: npt.NDArray[np.float64]


def errors_under(frame: Frame, rows: Span, columns: Span, step: int = 1) -> PlaneErrors:
    """Errors of the means of the three planes under a rectangle of luma rows and columns.

    Noise is judged from the rectangle and from the flat surroundings that it lies in; `step` is
    that of the codes in use.

    Parameters
    ----------
    frame:
        In native codes.
    rows, columns:
        (first, behind the last) of luma.
    step:
        From one code in use to the next.

    Returns
    -------
    PlaneErrors
        Of each plane, in codes.

    Examples
    --------
    >>> from overlays.signal.example_frames import grey_frame
    >>> found = errors_under(grey_frame([[420]], cell=16), (4, 12), (4, 12))
    >>> [plane.rounding for plane in found.planes]
    [0.5, 0.5, 0.5]
    """
    sub = frame.signal.subsampling
    seen = spot_noise(frame, rows, columns)
    scale = 2.0 ** (frame.signal.bits - 8)
    beside = _beside(frame, (rows, columns), scale, step)
    held = Held(step, frame.signal.lossy, scale, link_step(frame.signal), beside)
    planes = []
    for index, plane in enumerate(frame.planes):
        down, across = (1, 1) if index == 0 else (sub.rows, sub.columns)
        r, c = _shared(rows, down), _shared(columns, across)
        samples = _codes(plane[slice(*r), slice(*c)], frame.shift)
        around = samples
        if held.lossy or min(samples.shape) < FEWEST_ACROSS:
            near = _shared(seen.around[0], down), _shared(seen.around[1], across)
            look = (_joined(near[0], r, plane.shape[0]), _joined(near[1], c, plane.shape[1]))
            around = _codes(plane[look], frame.shift)
        noise = float(seen.standard[index]), float(seen.degrees[index])
        planes.append(sampled_error(samples, around, noise, held))
    return PlaneErrors(planes, seen.correlation)


def _beside(frame: Frame, area: tuple[Span, Span], scale: float, step: int) -> float:
    """What a codec may have quantised in by the luma around a small spot; 0 where it is not asked.

    Chroma is quantised alike, and its samples lie too far apart to have quiet tiles between things.
    """
    if not frame.signal.lossy or scale < FINE * step:
        return 0.0
    if min(span[1] - span[0] for span in area) >= WIDE_ENOUGH:
        return 0.0
    down, across = (slice(max((span[0] - _BESIDE) // 8 * 8, 0), span[1] + _BESIDE) for span in area)
    return step_beside(
        _codes(frame.planes[0][down, across], frame.shift), scale, frame.signal.block
    )


def _codes(plane: Plane, shift: int) -> npt.NDArray[np.int64]:
    codes = plane.astype(np.int64)
    return codes >> shift if shift else codes


def _shared(span: Span, by: int) -> Span:
    """The samples that serve a span of luma, `by` to one."""
    return span[0] // by, -(-span[1] // by)


def _joined(span: Span, spot: Span, size: int) -> slice:
    """A span widened to hold the spot and what noise can be judged from, within `size`."""
    first, last = min(span[0], spot[0]), min(max(span[1], spot[1]), size)
    missing = FEWEST_ACROSS - (last - first)
    if missing > 0:
        first = max(min(first - missing // 2, size - FEWEST_ACROSS), 0)
        last = min(first + FEWEST_ACROSS, size)
    return slice(first, last)


def cut_off_at(frame: Frame, rows: Span, columns: Span, planes: list[PlaneError]) -> str:
    """Where noise is cut off below, in words; empty where it is not.

    At the lowest code: code 0 of full range, and of limited range the lowest that video may use, 1
    of 8 bits, 4 of 10 (ITU-R BT.709-6 item 4, from memory: tests/reference/levels.csv). Or at
    black, by a camera that sends nothing below it: then the samples pile up on black, with nothing
    under it and no more on the code above. R', G' and B' must all be.

    Parameters
    ----------
    frame:
        In native codes.
    rows, columns:
        (first, behind the last) of luma.
    planes:
        Errors of the three planes there.

    Returns
    -------
    str
        A few words; empty where nothing is cut off.

    Examples
    --------
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame, span = grey_frame([[4]], cell=16), (4, 12)
    >>> cut_off_at(frame, span, span, errors_under(frame, span, span).planes)
    'the lowest code'
    """
    signal = frame.signal
    lowest = picture_codes(signal)[0]
    black = round(luma_scale(signal).zero)
    compared = 3 if signal.components is Components.RGB else 1
    at_lowest = at_black = True
    for plane, error in zip(frame.planes[:compared], planes[:compared], strict=True):
        codes = np.right_shift(plane[slice(*rows), slice(*columns)], frame.shift)
        near = _NEAR_CUT * max(error.noise, _LEAST_NOISE)
        level = int(codes.sum()) / codes.size
        at_lowest = (
            at_lowest and level - lowest < near and float(np.mean(codes <= lowest)) > LOST_SHARE
        )
        at_black = at_black and level - black < near and _is_piled(codes, black)
        if not (at_lowest or at_black):
            return ""
    if at_lowest:
        return "the lowest code"
    return "black, below which nothing is sent" if at_black else ""


def _is_piled(codes: npt.NDArray[np.unsignedinteger], at: int) -> bool:
    """Whether samples that would lie below a code were all put on it.

    Noise that is whole thins out towards its lowest code; what was cut off lies on that code.
    """
    on = int(np.count_nonzero(codes == at))
    above = codes[codes > at]
    following = int(np.count_nonzero(above == above.min())) if above.size else 0
    return on > LOST_SHARE * codes.size and on >= following and int(codes.min()) >= at
