"""Correlated colour temperature and Duv of a chromaticity."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.colour.locus import (
    HIGHEST_KELVIN,
    HIGHEST_MIRED,
    LOWEST_KELVIN,
    LOWEST_MIRED,
    locus_bend,
    locus_slope,
    locus_uv,
)

THREE_STEPS = 0.0033
"""Usual tolerance of a white in CIE 1976 u', v': a circle of three steps of 0.0011 (CIE TN
001:2014, seen second-hand), about where two neutrals side by side begin to be told apart."""
FURTHEST_DUV = 0.05
"""Beyond this distance from the locus a colour temperature means nothing (CIE 15; the figure is
from memory)."""

_NODES = np.linspace(LOWEST_MIRED, HIGHEST_MIRED, 193)
_NODE_UV = np.array([locus_uv(float(m)) for m in _NODES]).T


@dataclass(frozen=True, slots=True)
class WhitePoint:
    """A light by its correlated colour temperature and its distance from the black-body locus.

    Attributes
    ----------
    kelvin:
        Correlated colour temperature, 1000 to 25000 K.
    duv:
        Distance from the locus in CIE 1960 u, v; positive on the green side.

    Examples
    --------
    >>> WhitePoint(kelvin=5000.0, duv=0.0).mired
    200.0
    """

    kelvin: float
    duv: float

    @property
    def mired(self) -> float:
        """Reciprocal temperature, 1e6 / K."""
        return 1e6 / self.kelvin


def uv_slopes(xyz: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """(2, 3) derivatives of CIE 1960 (u, v), rows, by X, Y, Z.

    Parameters
    ----------
    xyz:
        (3,) float64; X + 15 Y + 3 Z must not be 0.

    Returns
    -------
    ndarray
        float64, per unit of X, Y, Z.

    Examples
    --------
    >>> xyz = np.array([0.95, 1.0, 1.09])
    >>> abs(float((uv_slopes(xyz) @ xyz).max())) < 1e-12  # brighter light has the same colour
    True
    """
    below = float(xyz[0] + 15.0 * xyz[1] + 3.0 * xyz[2])
    above = np.array([[4.0, 0.0, 0.0], [0.0, 6.0, 0.0]])
    share = np.array([xyz_to_uv(xyz)]).T
    return np.asarray((above - share * np.array([1.0, 15.0, 3.0])) / below, dtype=np.float64)


def xyz_to_uv(xyz: npt.NDArray[np.float64]) -> tuple[float, float]:
    """CIE 1960 u, v of XYZ, (3,); not finite where X + 15 Y + 3 Z is 0.

    Parameters
    ----------
    xyz:
        float64.

    Returns
    -------
    tuple[float, float]
        (u, v).

    Examples
    --------
    >>> u, v = xyz_to_uv(np.array([0.9505, 1.0, 1.0891]))  # D65
    >>> f"{u:.3f} {v:.3f}"
    '0.198 0.312'
    """
    x, y, z = (float(c) for c in xyz)
    below = x + 15.0 * y + 3.0 * z
    if below == 0.0:
        return float("nan"), float("nan")
    return 4.0 * x / below, 6.0 * y / below


def white_point(u: float, v: float) -> WhitePoint | None:
    """Colour temperature and Duv of a CIE 1960 chromaticity; None where they mean nothing.

    By the definition that Ohno (2013) "Practical Use and Calculation of CCT and Duv", LEUKOS 10:1,
    makes practical: the temperature of the point of the black-body locus nearest in CIE 1960 u, v,
    and the distance to it, positive on the green side. Ohno finds the point on a table by
    triangles and parabolas; here Newton's method finds it on the smooth locus of
    `overlays.measure.colour.locus`, which is what his steps approach (they agree within 1 K from
    2000 to 10000 K and Duv -0.03 to 0.03, tests/overlays/measure/test_whitepoint.py).

    Valid from 1000 to 25000 K and within 0.05 of the locus (CIE 15: a correlated colour
    temperature means nothing further off); outside, and for what is no chromaticity, None.

    Parameters
    ----------
    u:
        CIE 1960 u.
    v:
        CIE 1960 v.

    Returns
    -------
    WhitePoint | None
        Colour temperature in kelvin, and Duv.

    Examples
    --------
    >>> white = white_point(0.1978, 0.3122)  # about D65
    >>> round(white.kelvin, -2), round(white.duv, 3)
    (6500.0, 0.003)
    """
    if not (np.isfinite(u) and np.isfinite(v)):
        return None
    gap = (_NODE_UV[0] - u) ** 2 + (_NODE_UV[1] - v) ** 2
    mired = float(_NODES[int(np.argmin(gap))])
    if float(gap.min()) > (2.0 * FURTHEST_DUV) ** 2:
        return None
    for _ in range(8):
        step = _newton_step(u, v, mired)
        mired = min(max(mired - step, LOWEST_MIRED - 1.0), HIGHEST_MIRED + 1.0)
        if abs(step) < 1e-9:
            break
    kelvin = 1e6 / mired
    at_u, at_v = locus_uv(mired)
    du, dv = locus_slope(mired)
    duv = ((v - at_v) * du - (u - at_u) * dv) / float(np.hypot(du, dv))
    if not LOWEST_KELVIN <= kelvin <= HIGHEST_KELVIN or abs(duv) > FURTHEST_DUV:
        return None
    return WhitePoint(kelvin, duv)


def white_slopes(u: float, v: float, mired: float) -> npt.NDArray[np.float64]:
    """(2, 2) derivatives of (mired, Duv), rows, by (u, v), columns, at a light of that mired.

    Parameters
    ----------
    u:
        CIE 1960 u.
    v:
        CIE 1960 v.
    mired:
        Of that light, from `white_point`.

    Returns
    -------
    ndarray
        float64.

    Examples
    --------
    >>> u, v = locus_uv(200.0)
    >>> along = white_slopes(u, v, 200.0) @ locus_slope(200.0)
    >>> round(float(along[0]), 3), round(abs(float(along[1])), 6)  # a mired along it, and no Duv
    (1.0, 0.0)
    """
    at_u, at_v = locus_uv(mired)
    du, dv = locus_slope(mired)
    ddu, ddv = locus_bend(mired)
    # The foot of the perpendicular moves by `along / rate`; across it distance moves one to one.
    rate = du * du + dv * dv + (at_u - u) * ddu + (at_v - v) * ddv
    long = float(np.hypot(du, dv))
    return np.array([[du / rate, dv / rate], [-dv / long, du / long]])


def _newton_step(u: float, v: float, mired: float) -> float:
    """One step towards where the way to (u, v) stands square on the locus."""
    at_u, at_v = locus_uv(mired)
    du, dv = locus_slope(mired)
    ddu, ddv = locus_bend(mired)
    off_u, off_v = at_u - u, at_v - v
    along = off_u * du + off_v * dv
    rate = du * du + dv * dv + off_u * ddu + off_v * ddv
    # Far off the locus on its hollow side the rate can vanish; then the first-order step will do.
    return along / (rate if rate > 0.25 * (du * du + dv * dv) else du * du + dv * dv)
