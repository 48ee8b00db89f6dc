"""A spot: the mean light of a small square, in percent, stops and R/G/B stops, with its ±."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from overlays.errors import SpotOutsideError
from overlays.measure.counting.clip import ceiling_sentences
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.code_step import code_step
from overlays.measure.spot.spot_errors import SpotErrors
from overlays.measure.spot.spot_means import doubted_in, errors_of, percent_sizes, spot_sums
from overlays.measure.spot.spot_planes import LOST_SHARE, cut_off_at
from overlays.measure.spot.spot_words import clipping_sentences, codec_sentences, unknown_sentences
from overlays.measure.spot.stops import at_most_stops, light_stops, stops_pm
from overlays.measure.spot.uncertainty import combine
from overlays.signal.frame import Frame
from overlays.wording.numbers import share_text
from overlays.wording.reasons import Bound, Reason

FloatArray = npt.NDArray[np.float64]

USUAL_SHARE = 0.044
"""Edge of a spot as a share of the picture's height where nobody asks for another: 48 of 1080."""
SPECK_SHARE = 0.002
"""Share of a spot's pixels that may be below the floor before it is worth a word; clipped ones are
where the ± does not hold what they hide."""
CLIPPED_SHARE = LOST_SHARE
"""Share of a spot's pixels from which on, clipped, the spot as a whole counts as clipped."""


@dataclass(frozen=True, slots=True)
class SpotPlace:
    """Where a spot is: centre and edge in pixels.

    It covers columns ``column - size // 2`` up to, not including, ``column - size // 2 + size``,
    and rows likewise. A spot is square unless `height` (0: as `size`) says otherwise.

    Examples
    --------
    >>> place = SpotPlace(column=10, row=20, size=4)
    >>> place.column_span, place.row_span
    ((8, 12), (18, 22))
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
        Mean video level and its 95 % half width; that is None where clipping hides more than noise,
        or may do so.
    stops, stops_pm:
        log2(mean luminance / 0.18) and its half width; None where there is no light to take the
        logarithm of. The half width alone is None where `unknown` says why. Where noise is cut off
        below, the upper end instead, mean and half width together: the most that it may be.
    luminance:
        Mean linear light, the matrix's luma weights on linear R, G, B; 0.18 is mid-grey.
    rgb_linear, rgb_stops, rgb_stops_pm:
        Means of each channel; the half width is None where it reaches down to no light, where noise
        is cut off, and of a channel of which clipping hides more than noise, or may do so.
    code:
        Mean native codes of the three planes.
    clipped, below_floor:
        Shares of its pixels, 0 to 1: at the clip in any channel, and with luma below the floor.
    clipped_rgb:
        Shares clipped in R', G', B'.
    may_clip:
        Channels ("RB") in which the spot may be clipped, or more of it than noise explains, as its
        picture looks: what it reads may be no more than the least that it is, and so has no ±.
    warnings:
        Plain sentences.
    cut_off:
        Where its noise is cut off below, in words; empty where it is not.
    explained:
        Share of its pixels that may be clipped by its noise alone: what that hides is in the ±.
    stops_noise:
        How much of `stops_pm` is noise (all else adds in squares); 0 where that is not known.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> dark = read_spot(grey_frame([[60]], cell=16), LOG, SpotPlace(8, 8, 8))
    >>> dark.stops, dark.unknown.name
    (None, 'NO_LIGHT')
    """

    place: SpotPlace
    percent: float
    percent_pm: float | None
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
    cut_off: str = ""
    explained: float = 0.0
    may_clip: str = ""
    stops_noise: float = 0.0

    def __post_init__(self) -> None:
        """Of clipped light there is no ±, whoever counts it as clipped, or as perhaps clipped."""
        if self.hides_light or self.may_clip:
            object.__setattr__(self, "percent_pm", None)
            object.__setattr__(self, "stops_pm", None)
        kept = tuple(
            pm if share <= self.explained and name not in self.may_clip else None
            for name, pm, share in zip("RGB", self.rgb_stops_pm, self.clipped_rgb, strict=True)
        )
        object.__setattr__(self, "rgb_stops_pm", kept)

    @property
    def hides_light(self) -> bool:
        """Whether clipping hides light of which no bound is known: more than noise explains."""
        return self.clipped > self.explained

    @property
    def bound(self) -> Bound | None:
        """Whether its stops are no more than a bound: clipped, or cut off below."""
        return self._bound(self.clipped)

    @property
    def rgb_bounds(self) -> tuple[Bound | None, Bound | None, Bound | None]:
        """The same of R, G and B."""
        red, green, blue = (self._bound(share) for share in self.clipped_rgb)
        return red, green, blue

    def _bound(self, clipped: float) -> Bound | None:
        if self.stops is None:
            return None
        if clipped > CLIPPED_SHARE:
            return Bound.AT_LEAST
        return Bound.AT_MOST if self.cut_off else None

    @property
    def unknown(self) -> Reason | None:
        """Why there are no stops or no ± beside them; None where there are both."""
        if self.stops is None:
            return Reason.NO_LIGHT
        if self.hides_light:
            return Reason.CLIPPED if self.clipped > CLIPPED_SHARE else Reason.PARTLY_CLIPPED
        if self.may_clip:
            return Reason.PERHAPS_CLIPPED
        if self.stops_pm is None:
            return Reason.CUT_OFF if self.cut_off else Reason.DOWN_TO_NO_LIGHT
        return None


def default_size(rows: int, share: float = USUAL_SHARE) -> int:
    """Edge in pixels of the usual spot on a picture; even, at least 2.

    Parameters
    ----------
    rows:
        Of the picture.
    share:
        Of its height.

    Returns
    -------
    int
        Pixels.

    Examples
    --------
    >>> default_size(1080), default_size(10)
    (48, 2)
    """
    return max(2, 2 * round(rows * share / 2.0))


def check_place(place: SpotPlace, rows: int, columns: int) -> None:
    """Whether a spot lies wholly inside the picture and is large enough.

    Parameters
    ----------
    place:
        The spot.
    rows, columns:
        Of the picture.

    Raises
    ------
    SpotOutsideError
        It sticks out, or has no 2x2 pixels.

    Examples
    --------
    >>> check_place(SpotPlace(column=4, row=4, size=4), rows=8, columns=8)
    >>> check_place(SpotPlace(column=7, row=4, size=4), rows=8, columns=8)
    Traceback (most recent call last):
        ...
    overlays.errors.SpotOutsideError: the spot at 7,4 of 4x4 pixels covers...
    """
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

    Returns
    -------
    SpotReading
        In percent and stops, with 95 % half widths.

    Raises
    ------
    SpotOutsideError
        The spot sticks out of the picture.

    Notes
    -----
    Each pixel's codes go through the matrix to nominal R'G'B', each of these through the curve to
    linear light; the mean is taken of light, with codes below black keeping their sign. Chroma is
    taken as it was sent: its sample serves the luma samples it is sited with.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> reading = read_spot(grey_frame([[496]], cell=16), LOG, SpotPlace(8, 8, 8))
    >>> round(reading.stops, 2), round(reading.stops_pm, 3), round(reading.luminance, 2)
    (1.0, 0.007, 0.36)
    """
    check_place(place, frame.rows, frame.columns)
    rows, columns = place.row_span, place.column_span
    mean = spot_sums(frame, yard, rows, columns)
    codes = code_step(frame)
    nominal = yard.decoding.matrix @ (mean.stored - yard.decoding.zero)
    errors, explained = errors_of(mean, frame, yard, (rows, columns), codes.step)
    light = float(yard.weights @ mean.light)
    may_clip = doubted_in(mean, frame, yard, (rows, columns), errors)
    code = tuple(float(v) / (1 << frame.shift) for v in mean.stored)
    cut = cut_off_at(frame, rows, columns, errors.planes)
    stops, channels = light_stops(mean.light, errors.slopes, yard.weights)
    sizes = percent_sizes(yard)
    width = errors.pm(yard.weights)
    if cut:
        widths = width, *errors.axis_pms()
        stops, *most = at_most_stops((stops, *channels), (light, *mean.light), widths)
        channels = most[0], most[1], most[2]
    pm = None if cut or stops is None else stops_pm(light, width)
    reading = SpotReading(
        place=place,
        percent=100.0 * float(yard.weights @ nominal),
        percent_pm=combine(sizes, sizes, errors.planes, errors.correlation) + errors.hidden_percent,
        stops=stops,
        stops_pm=pm,
        luminance=light,
        rgb_linear=(float(mean.light[0]), float(mean.light[1]), float(mean.light[2])),
        rgb_stops=channels,
        rgb_stops_pm=(None, None, None) if cut else errors.channel_pms(mean.light, channels),
        code=(code[0], code[1], code[2]),
        clipped=float(mean.any_clipped[0]),
        below_floor=float(mean.below_floor[0]),
        clipped_rgb=(float(mean.clipped[0]), float(mean.clipped[1]), float(mean.clipped[2])),
        warnings=(
            *ceiling_sentences(mean.clipped, may_clip, yard.flat_top),
            *codes.sentences(frame.signal),
        ),
        errors=errors,
        cut_off=cut,
        explained=explained,
        may_clip=may_clip,
        stops_noise=(pm or 0.0) * errors.noise_share(yard.weights, width),
    )
    lost = reading.unknown if reading.hides_light else None
    said = clipping_sentences(reading.clipped, reading.clipped_rgb, lost, SPECK_SHARE)
    if reading.below_floor > SPECK_SHARE:
        said += (f"{share_text(reading.below_floor)} % of the spot lies below the floor",)
    said += unknown_sentences(reading.unknown, cut)
    said += codec_sentences(errors.planes[0].is_codec_guessed, min(place.size, place.rows))
    return replace(reading, warnings=(*said, *reading.warnings))
