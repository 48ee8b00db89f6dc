"""One patch of a chart: what is measured against what it should be."""

from dataclasses import dataclass, replace

import numpy as np

from overlays.measure.chart.reference import ChartReference
from overlays.measure.colour.cielab import (
    chroma,
    ciede2000,
    hue_degrees,
    turn_degrees,
    xyz_to_lab,
)
from overlays.measure.spot.spot import SpotReading
from overlays.measure.spot.spot_errors import SpotErrors
from overlays.signal.gamuts import D65, FloatArray
from overlays.wording.reasons import Reason

_WAYS = np.array([(1.0, a, b) for a in (-1.0, 1.0) for b in (-1.0, 1.0)])[:, None]
"""(4, 1, 3) signs of errors of L*, a*, b*; CIEDE2000 is all but even in that of L*."""


@dataclass(frozen=True, slots=True)
class PatchReading:
    """One patch; colours are L*, a*, b* under D65.

    Attributes
    ----------
    rgb_linear:
        Mean linear R, G, B as the feed carries them, not scaled.
    lab, reference_lab:
        Measured, scaled as the chart's `Scaling` says, and as it should be. A clipped patch has no
        measured colour, and nothing of what follows from it.
    de00, de00_pm:
        CIEDE2000 between the two, and how far noise and rounding, its own and that of the patches
        it is scaled by, may move the measured colour the way that counts most.
    hue_error_deg:
        Hue angle measured less reference, -180 to 180 degrees; None for neutrals.
    chroma_ratio:
        C*ab measured against reference; None for neutrals.
    stops_off, r_stops, b_stops:
        log2 of measured against reference luminance; red and blue against green likewise; None
        where there is no light.
    clipped:
        Share of the patch clipped in any channel.
    why:
        Why it has no colour, or no luminance where it has one; None where it has both.
    """

    name: str
    spot: SpotReading
    rgb_linear: tuple[float, float, float]
    lab: tuple[float, float, float] | None
    reference_lab: tuple[float, float, float]
    de00: float | None
    de00_pm: float | None
    hue_error_deg: float | None
    chroma_ratio: float | None
    stops_off: float | None
    r_stops: float | None
    b_stops: float | None
    clipped: float
    why: Reason | None = None


@dataclass(frozen=True, slots=True, eq=False)
class ChartScale:
    """What brings the measured light to the reference's.

    Attributes
    ----------
    gains:
        (3,) factors of linear R, G, B.
    rows:
        Indices of the patches whose mean they are.
    """

    gains: FloatArray
    rows: tuple[int, ...]


def log_ratio(above: FloatArray, below: FloatArray) -> FloatArray:
    """log2 of a ratio; nan where either is no light.

    Parameters
    ----------
    above:
        Light of any shape.
    below:
        Light of a shape that fits.

    Returns
    -------
    ndarray
        float64, in stops.

    Examples
    --------
    >>> log_ratio(np.array([0.36, 0.09, 0.0]), np.full(3, 0.18)).round(3).tolist()
    [1.0, -1.0, nan]
    """
    good = (above > 0.0) & (below > 0.0)
    # As a difference: a ratio of two that are no more than a file's words may be past all numbers.
    stops = np.log2(np.where(good, above, 1.0)) - np.log2(np.where(good, below, 1.0))
    return np.where(good, stops, np.nan)


def patch_readings(
    spots: list[SpotReading],
    expected: FloatArray,
    reference: ChartReference,
    scale: ChartScale,
    to_d65: FloatArray,
) -> tuple[PatchReading, ...]:
    """Every patch against its reference.

    Parameters
    ----------
    spots:
        In the chart's reading order.
    expected:
        (patches, 3) linear R, G, B of the reference.
    reference:
        The chart: names of its patches, its neutral row and L*, a*, b*.
    scale:
        What measured linear R, G, B are multiplied by first, and which patches say so.
    to_d65:
        (3, 3) linear R, G, B to XYZ under D65.

    Returns
    -------
    tuple[PatchReading, ...]
        As many, in the same order.

    Examples
    --------
    >>> from overlays.measure.chart.reference import CHART24, gamut_to_d65
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> gamut, scale = published_gamut("BT.709"), ChartScale(np.ones(3), (22,))
    >>> spot = read_spot(grey_frame([[502]], cell=16), VIDEO, SpotPlace(8, 8, 8))
    >>> same = [spot] * 24  # a wall instead of a chart
    >>> read = patch_readings(same, CHART24.linear(gamut), CHART24, scale, gamut_to_d65(gamut))
    >>> read[18].name, round(read[18].stops_off, 1)  # log2(0.2589 / 0.9001)
    ('white 9.5', -1.8)
    """
    measured = np.array([spot.rgb_linear for spot in spots]) * scale.gains
    lab, wanted = xyz_to_lab(measured @ to_d65.T, D65), reference.lab
    error = ciede2000(lab, wanted)
    turn = turn_degrees(hue_degrees(wanted), hue_degrees(lab))
    # What a spot calls no light has no ratio to any: 1e-9 of red is what rounding left of it.
    has_light = np.array([[s is not None for s in (*p.rgb_stops, p.stops)] for p in spots])
    lit = np.where(has_light[:, :3], measured, 0.0)
    luminance = np.where(has_light[:, 3], measured @ to_d65[1], 0.0)
    luminance = log_ratio(luminance, expected @ to_d65[1])
    sides = [
        log_ratio(lit[:, n], lit[:, 1]) - log_ratio(expected[:, n], expected[:, 1]) for n in (0, 2)
    ]
    grey = set(reference.neutrals)
    widths = _de00_pm(lab, spots, scale, to_d65)
    out = []
    for n, spot in enumerate(spots):
        patch = PatchReading(
            name=reference.names[n],
            spot=spot,
            rgb_linear=spot.rgb_linear,
            lab=_three(lab[n]),
            reference_lab=_three(wanted[n]),
            de00=float(error[n]),
            de00_pm=None if spot.cut_off or spot.may_clip else widths[n],
            hue_error_deg=None if n in grey else float(turn[n]),
            chroma_ratio=None if n in grey else float(chroma(lab[n]) / chroma(wanted[n])),
            stops_off=_known(luminance[n]),
            r_stops=_known(sides[0][n]),
            b_stops=_known(sides[1][n]),
            clipped=spot.clipped,
            why=Reason.NO_LIGHT if _known(luminance[n]) is None else None,
        )
        out.append(_without_colour(patch) if spot.hides_light else patch)
    return tuple(out)


def _without_colour(patch: PatchReading) -> PatchReading:
    return replace(
        patch,
        lab=None,
        de00=None,
        de00_pm=None,
        hue_error_deg=None,
        chroma_ratio=None,
        stops_off=None,
        r_stops=None,
        b_stops=None,
        why=patch.spot.unknown or Reason.CLIPPED,
    )


def _three(row: FloatArray) -> tuple[float, float, float]:
    return float(row[0]), float(row[1]), float(row[2])


def _known(number: float) -> float | None:
    return float(number) if np.isfinite(number) else None


def _de00_pm(
    lab: FloatArray, spots: list[SpotReading], scale: ChartScale, to_d65: FloatArray
) -> list[float]:
    """The largest CIEDE2000 between each colour and those off by the 95 % half widths of a*, b*.

    `lab` is (patches, 3), L* is off by its own as well. The gains are of the neutrals' own noise,
    which every patch has a share of.
    """
    errors = _pooled(spots)
    half = np.zeros_like(lab)
    for n, spot in enumerate(spots):
        rgb = np.array(spot.rgb_linear)
        slopes = _lab_slopes(rgb, scale.gains, to_d65)
        half[n] = [errors[n].pm(row) ** 2 for row in slopes]
        for other in scale.rows:
            theirs = np.array(spots[other].rgb_linear)
            # A neutral that reads high by a share takes that share of all, by their number.
            for axis, row in enumerate(slopes):
                half[n, axis] += errors[other].pm(row * rgb / theirs / len(scale.rows)) ** 2
    # a* and b* up together is for some colours nearly all chroma, which counts least.
    ends = lab + _WAYS * np.sqrt(half)
    return [float(most) for most in ciede2000(lab[None], ends).max(axis=0)]


def _lab_slopes(rgb: FloatArray, gains: FloatArray, to_d65: FloatArray) -> FloatArray:
    """(3, 3) derivatives of L*, a*, b*, rows, by linear R, G, B before the gains."""
    step = 1e-4
    columns = [
        (
            xyz_to_lab(to_d65 @ (gains * (rgb + step * axis)), D65)
            - xyz_to_lab(to_d65 @ (gains * (rgb - step * axis)), D65)
        )
        / (2.0 * step)
        for axis in np.eye(3)
    ]
    return np.array(columns).T


def _pooled(spots: list[SpotReading]) -> list[SpotErrors]:
    """The patches' errors, none surer than all of them together (root mean square) in any plane.

    A small patch shows little of noise that is correlated over as many pixels as it has, and one
    that happens to look calm is not: patches are of one size, and their noise in codes is alike.
    """
    all_of_them = np.array([[p.standard for p in spot.errors.planes] for spot in spots])
    standard = np.sqrt(np.mean(all_of_them**2, axis=0))
    return [
        replace(
            spot.errors,
            planes=[
                replace(plane, standard=max(plane.standard, float(least)))
                for plane, least in zip(spot.errors.planes, standard, strict=True)
            ],
        )
        for spot in spots
    ]
