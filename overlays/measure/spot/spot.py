"""A spot: the mean light of a small square, in percent, stops and R/G/B stops, with its ±."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.errors import SpotOutsideError
from overlays.measure.counting.clip import ceiling_sentences
from overlays.measure.counting.kernels import flatten
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.area_kernels import SpotSums, no_sums, spot_light
from overlays.measure.spot.code_step import code_step
from overlays.measure.spot.spot_errors import SpotErrors
from overlays.measure.spot.spot_planes import LOST_SHARE, cut_off_at, errors_under
from overlays.measure.spot.stops import stops_of, stops_pm
from overlays.measure.spot.uncertainty import combine
from overlays.signal.frame import Frame
from overlays.signal.levels import luma_scale
from overlays.signal.signal import Components

FloatArray = npt.NDArray[np.float64]

USUAL_SHARE = 0.044
"""Edge of a spot as a share of the picture's height where nobody asks for another: 48 of 1080."""
SPECK_SHARE = 0.002
"""Share of a spot's pixels that may be clipped or below the floor before it is worth a word."""
CLIPPED_SHARE = 0.02
"""Share of a spot's pixels from which on, clipped, the spot as a whole counts as clipped."""
LEAST_LIGHT = 1e-3
"""Light in codes that is still light: a mean of a million samples that were rounded is not surer
than that (1/sqrt(12 * 10**6) of a code), and black with a code of chroma leaves 1e-15."""


@dataclass(frozen=True, slots=True)
class SpotPlace:
    """Where a spot is: centre and edge in pixels.

    It covers columns ``column - size // 2`` up to, not including, ``column - size // 2 + size``,
    and rows likewise. A spot is square unless `height` (0: as `size`) says otherwise.
    """

    column: int
    row: int
    size: int
    height: int = 0

    @property
    def rows(self) -> int:
        """Rows it covers."""
        return self.height or self.size

    @property
    def left(self) -> int:
        """First column."""
        return self.column - self.size // 2

    @property
    def top(self) -> int:
        """First row."""
        return self.row - self.rows // 2

    @property
    def row_span(self) -> tuple[int, int]:
        """(first row, row behind the last)."""
        return self.top, self.top + self.rows

    @property
    def column_span(self) -> tuple[int, int]:
        """(first column, column behind the last)."""
        return self.left, self.left + self.size


@dataclass(frozen=True, slots=True)
class SpotReading:
    """What a spot says.

    Attributes
    ----------
    percent, percent_pm:
        Mean video level and its 95 % half width.
    stops, stops_pm:
        log2(mean luminance / 0.18) and its half width; None where there is no light to take the
        logarithm of. The half width alone is None where it reaches down to no light, and where
        noise is cut off at the lowest code. It is that of what was sent: of clipped light, which a
        warning names, it says nothing.
    luminance:
        Mean linear light, the matrix's luma weights on linear R, G, B; 0.18 is mid-grey.
    rgb_linear, rgb_stops, rgb_stops_pm:
        Means of each channel; the half width is None where it reaches down to no light, where noise
        is cut off, and of a channel that is clipped.
    code:
        Mean native codes of the three planes.
    clipped, below_floor:
        Shares of its pixels, 0 to 1: at the clip in any channel, and with luma below the floor.
    clipped_rgb:
        Shares clipped in R', G', B'.
    may_clip:
        Channels ("RB") in which the spot as a whole may be clipped, as its picture looks.
    warnings:
        Plain sentences.
    """

    place: SpotPlace
    percent: float
    percent_pm: float
    stops: float | None
    stops_pm: float | None
    luminance: float
    rgb_linear: tuple[float, float, float]
    rgb_stops: tuple[float | None, float | None, float | None]
    rgb_stops_pm: tuple[float | None, float | None, float | None]
    code: tuple[float, float, float]
    clipped: float
    below_floor: float
    clipped_rgb: tuple[float, float, float]
    warnings: tuple[str, ...]
    errors: SpotErrors
    may_clip: str = ""


def default_size(rows: int, share: float = USUAL_SHARE) -> int:
    """Edge in pixels of the usual spot on a picture of `rows` rows; even, at least 2."""
    return max(2, 2 * round(rows * share / 2.0))


def check_place(place: SpotPlace, rows: int, columns: int) -> None:
    """Raise `SpotOutsideError` unless the spot lies wholly inside the picture."""
    if min(place.size, place.rows) < 2:
        raise SpotOutsideError(
            f"a spot of {place.size}x{place.rows} pixels; at least 2x2 are needed, since noise is "
            "judged from neighbouring pixels"
        )
    right, bottom = place.left + place.size, place.top + place.rows
    if place.left < 0 or place.top < 0 or right > columns or bottom > rows:
        raise SpotOutsideError(
            f"the spot at {place.column},{place.row} of {place.size}x{place.rows} pixels covers "
            f"columns {place.left} to {right - 1}, rows {place.top} to {bottom - 1}, outside the "
            f"{columns}x{rows} picture; move it inwards or make it smaller"
        )


def _sums(frame: Frame, yard: Yardstick, place: SpotPlace) -> SpotSums:
    """Means over the pixels of the spot."""
    out = no_sums()
    sub = frame.signal.subsampling
    red, green, blue = (float(w) for w in yard.weights)
    spot_light(
        (flatten(frame.planes[0]), flatten(frame.planes[1]), flatten(frame.planes[2])),
        (place.top, place.rows, place.left, place.size, sub.rows, sub.columns),
        (yard.decoding.matrix, yard.decoding.zero),
        (yard.table.low, yard.table.step, yard.table.nodes),
        (yard.clip_limits, yard.floor_percent / 100.0, red, green, blue),
        out,
    )
    pixels = float(place.size * place.rows)
    return SpotSums(*(total / pixels for total in out))


def _spot_errors(
    mean: SpotSums, frame: Frame, yard: Yardstick, place: SpotPlace, step: int
) -> SpotErrors:
    codes = yard.decoding.matrix * float(1 << frame.shift)  # nominal R'G'B' by code
    products = mean.slope_products
    squares = np.array([products * np.outer(codes[:, p], codes[:, p]) for p in range(3)])
    found = errors_under(frame, place.row_span, place.column_span, step)
    variances = codes**2 @ np.array([p.noise**2 for p in found.planes])
    return SpotErrors(
        planes=found.planes,
        slopes=mean.slope[:, None] * codes,
        squares=squares,
        excess=0.5 * mean.bend * variances,
        correlation=found.correlation,
    )


def percent_sizes(yard: Yardstick) -> FloatArray:
    """(3,) derivative of video level in percent by the codes of the planes."""
    span = luma_scale(yard.signal).span
    if yard.signal.components is Components.RGB:
        return np.asarray(yard.weights / span * 100.0)
    return np.array([100.0 / span, 0.0, 0.0])


def read_spot(frame: Frame, yard: Yardstick, place: SpotPlace) -> SpotReading:
    """Read one spot.

    Parameters
    ----------
    frame:
        Native codes; any layout.
    yard:
        Resolved for the frame's signal.
    place:
        Wholly inside the picture.

    Raises
    ------
    SpotOutsideError
        The spot sticks out of the picture.

    Notes
    -----
    Each pixel's codes go through the matrix to nominal R'G'B', each of these through the curve to
    linear light; the mean is taken of light, with codes below black keeping their sign. Chroma is
    taken as it was sent: its sample serves the luma samples it is sited with.
    """
    check_place(place, frame.rows, frame.columns)
    mean = _sums(frame, yard, place)
    codes = code_step(frame)
    errors = _spot_errors(mean, frame, yard, place, codes.step)
    red, green, blue = (float(v) for v in mean.light)
    light = float(yard.weights @ mean.light)
    levels = yard.decoding.matrix @ (mean.stored - yard.decoding.zero)
    nominal = float(yard.weights @ levels)
    may_clip, clipped = yard.may_clip(levels), mean.clipped
    code = tuple(float(v) / (1 << frame.shift) for v in mean.stored)
    cut = cut_off_at(frame, place.row_span, place.column_span, errors.planes)
    # What one code is worth here: less than a small part of it is residue of the arithmetic.
    least = LEAST_LIGHT * np.abs(errors.slopes).max(axis=1)
    stops = stops_of(light, float(yard.weights @ least))
    sizes = percent_sizes(yard)
    channels = [stops_of(float(mean.light[k]), float(least[k])) for k in range(3)]
    pm = None if cut or stops is None else stops_pm(light, errors.pm(yard.weights))
    return SpotReading(
        place=place,
        percent=100.0 * nominal,
        percent_pm=combine(sizes, sizes, errors.planes, errors.correlation),
        stops=stops,
        stops_pm=pm,
        luminance=light,
        rgb_linear=(red, green, blue),
        rgb_stops=(channels[0], channels[1], channels[2]),
        rgb_stops_pm=_channel_pms(mean, channels, errors, lost=bool(cut)),
        code=(code[0], code[1], code[2]),
        clipped=float(mean.any_clipped[0]),
        below_floor=float(mean.below_floor[0]),
        clipped_rgb=(float(clipped[0]), float(clipped[1]), float(clipped[2])),
        warnings=(
            *_warnings(mean, stops, pm, cut=cut),
            *ceiling_sentences(clipped, may_clip, yard.flat_top),
            *codes.sentences(frame.signal),
        ),
        errors=errors,
        may_clip=may_clip,
    )


def _channel_pms(
    mean: SpotSums, stops: list[float | None], errors: SpotErrors, *, lost: bool
) -> tuple[float | None, float | None, float | None]:
    """Half widths of R, G, B in stops; None where there is no light, or none that is whole."""
    out = [
        None
        if lost or stops[k] is None or mean.clipped[k] > SPECK_SHARE
        else stops_pm(float(mean.light[k]), errors.pm(np.eye(3)[k]))
        for k in range(3)
    ]
    return out[0], out[1], out[2]


def _warnings(
    mean: SpotSums, stops: float | None, pm: float | None, *, cut: str
) -> tuple[str, ...]:
    out = []
    clipped, below = float(mean.any_clipped[0]), float(mean.below_floor[0])
    if clipped > SPECK_SHARE:
        channels = "".join(n for n, share in zip("RGB", mean.clipped, strict=True) if share > 0.0)
        how_much = ", by how much cannot be said" if clipped > LOST_SHARE else ""
        out.append(
            f"{_share(clipped)} of the spot is clipped ({channels}): the true light is higher"
            f"{how_much}"
        )
    if below > SPECK_SHARE:
        out.append(f"{_share(below)} of the spot lies below the floor")
    if stops is None:
        out.append("no light above black: the spot has no reading in stops")
    elif cut:
        out.append(
            f"the spot's noise is cut off at {cut}: the true light is lower, by how much "
            "cannot be said"
        )
    elif pm is None:
        out.append("the ± reaches down to no light: the reading in stops has no lower bound")
    return tuple(out)


def _share(share: float) -> str:
    return f"{100.0 * share:.0f} %" if share >= 0.1 else f"{100.0 * share:.1f} %"
