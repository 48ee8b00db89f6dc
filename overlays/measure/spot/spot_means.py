"""The means over a spot, and what is uncertain about them."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.clip import NOWHERE
from overlays.measure.counting.kernels import flatten
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.area_kernels import SpotSums, no_sums, spot_light
from overlays.measure.spot.clipping import hidden_light, noise_over
from overlays.measure.spot.spot_errors import SpotErrors
from overlays.measure.spot.spot_planes import LOST_SHARE, Span, errors_under
from overlays.measure.spot.uncertainty import PlaneError
from overlays.signal.frame import Frame
from overlays.signal.levels import luma_scale
from overlays.signal.signal import Components

FloatArray = npt.NDArray[np.float64]


def spot_sums(
    frame: Frame,
    yard: Yardstick,
    rows: Span,
    columns: Span,
    limits: FloatArray | None = None,
) -> SpotSums:
    """Means over the pixels of a spot that lies in the picture.

    Parameters
    ----------
    frame, yard:
        Native codes, and what they are measured with.
    rows, columns:
        First, and one behind the last.
    limits:
        (3,) nominal R', G', B' from which on a pixel counts as clipped; None for the yardstick's.

    Returns
    -------
    SpotSums
        By pixel: light linear, shares 0 to 1.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> spot_sums(grey_frame([[420]], cell=8), LOG, (2, 6), (2, 6)).light.round(3).tolist()
    [0.18, 0.18, 0.18]
    """
    out = no_sums()
    sub = frame.signal.subsampling
    red, green, blue = (float(w) for w in yard.weights)
    spot_light(
        (flatten(frame.planes[0]), flatten(frame.planes[1]), flatten(frame.planes[2])),
        (rows[0], rows[1] - rows[0], columns[0], columns[1] - columns[0], sub.rows, sub.columns),
        (yard.decoding.matrix, yard.decoding.zero),
        (yard.table.low, yard.table.step, yard.table.nodes),
        (
            yard.clip_limits if limits is None else limits,
            yard.floor_percent / 100.0,
            red,
            green,
            blue,
        ),
        out,
    )
    return out


def errors_of(
    mean: SpotSums, frame: Frame, yard: Yardstick, area: tuple[Span, Span], step: int
) -> tuple[SpotErrors, float]:
    """Errors of a spot, and the share of its pixels whose clipping its noise explains.

    Parameters
    ----------
    mean:
        Of the spot.
    frame, yard:
        Native codes, and what they are measured with.
    area:
        Its rows and columns, each the first and one behind the last.
    step:
        Of the codes in use.

    Returns
    -------
    tuple[SpotErrors, float]
        In codes with what they are worth in light; a share of 0 to 1.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame, area = grey_frame([[420]], cell=8), ((2, 6), (2, 6))
    >>> errors, explained = errors_of(spot_sums(frame, LOG, *area), frame, LOG, area, step=1)
    >>> [plane.rounding for plane in errors.planes], explained
    ([0.5, 0.5, 0.5], 0.0)
    """
    codes = _nominal_by_code(frame, yard)
    by_plane = np.ascontiguousarray(codes.T)
    squares = mean.slope_products * (by_plane[:, :, None] * by_plane[:, None, :])
    found = errors_under(frame, *area, step)
    variances = _variances(codes, found.planes)
    errors = SpotErrors(
        planes=found.planes,
        slopes=mean.slope[:, None] * codes,
        squares=squares,
        excess=0.5 * mean.bend * variances,
        correlation=found.correlation,
    )
    share = float(mean.any_clipped[0])
    if not 0.0 < share <= LOST_SHARE:
        return errors, 0.0
    nominal = yard.decoding.matrix @ (mean.stored - yard.decoding.zero)
    hidden = hidden_light(yard, nominal, np.sqrt(variances), mean.clipped)
    if hidden is None:
        return errors, 0.0
    percent = 100.0 * float(yard.weights @ hidden[0])
    held = replace(errors, hidden=hidden[1], hidden_percent=percent)
    return held, share


def _nominal_by_code(frame: Frame, yard: Yardstick) -> FloatArray:
    """(3, 3) nominal R', G', B' by a code of each plane."""
    return np.asarray(yard.decoding.matrix * float(1 << frame.shift))


def _variances(codes: FloatArray, planes: list[PlaneError]) -> FloatArray:
    """(3,) variances of a pixel's nominal R', G', B'."""
    return np.asarray(codes**2 @ np.array([p.noise**2 for p in planes]))


def doubted_in(
    mean: SpotSums, frame: Frame, yard: Yardstick, area: tuple[Span, Span], errors: SpotErrors
) -> str:
    """Channels in which a spot may be clipped: all over, or in more pixels than noise explains.

    Parameters
    ----------
    mean, frame, yard, area:
        As of `errors_of`.
    errors:
        What that found.

    Returns
    -------
    str
        Such as "RB"; empty where no ceiling is in doubt.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame, area = grey_frame([[420, 800]], cell=8), ((2, 6), (2, 15))
    >>> doubted = LOG.under(None, (None, 84.0, None))  # the brighter half may be clipped in G
    >>> of = [(spot_sums(frame, each, *area), frame, each, area) for each in (LOG, doubted)]
    >>> [doubted_in(*each, errors_of(*each, step=1)[0]) for each in of]
    ['', 'G']
    """
    if yard.doubts == NOWHERE:
        return ""
    limits = np.array([np.inf if d is None else d / 100.0 for d in yard.doubt_limits])
    nominal = yard.decoding.matrix @ (mean.stored - yard.decoding.zero)
    shares = spot_sums(frame, yard, *area, limits).clipped
    sigmas = np.sqrt(_variances(_nominal_by_code(frame, yard), errors.planes))
    all_over = yard.may_clip(nominal)
    return "".join(
        name
        for name, distance, sigma, share in zip(
            "RGB", limits - nominal, sigmas, shares, strict=True
        )
        if name in all_over or noise_over(float(distance), float(sigma), float(share)) is None
    )


def percent_sizes(yard: Yardstick) -> FloatArray:
    """Derivative of video level by the codes of the planes.

    Parameters
    ----------
    yard:
        Gives signal and weights.

    Returns
    -------
    ndarray
        (3,) float64, percent a code.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> percent_sizes(VIDEO).round(4).tolist()  # 100 / 876
    [0.1142, 0.0, 0.0]
    """
    span = luma_scale(yard.signal).span
    if yard.signal.components is Components.RGB:
        return np.asarray(yard.weights / span * 100.0)
    return np.array([100.0 / span, 0.0, 0.0])
