"""The black-body and daylight loci on which colour temperature is counted.

The black-body locus (Planck's law with c2 = 1.4388e-2 m K, CIE 1931 2 degree observer) is kept as
Chebyshev series of CIE 1960 u and v over the reciprocal temperature in mired, in which both are
smooth. They were fitted at development time to sums over 360 to 830 nm in steps of 1 nm with the
colour-matching functions of CIE 018:2019 as held in colour-science 0.4.7; the fit is within 4e-9
of those sums everywhere from 1000 K to 25000 K.
"""

import numpy as np
from numpy.polynomial import Chebyshev

LOWEST_KELVIN, HIGHEST_KELVIN = 1000.0, 25000.0
"""Between these the locus is known; a light outside them has no colour temperature here."""
LOWEST_MIRED, HIGHEST_MIRED = 1e6 / HIGHEST_KELVIN, 1e6 / LOWEST_KELVIN

_DOMAIN = [LOWEST_MIRED, HIGHEST_MIRED]
_U_SERIES = Chebyshev(
    [
        0.3116694442, 0.1391415198, 0.0019771285, -0.0063399744, 0.0018883338,
        -0.0003373292, -2.26046e-05, 5.82024e-05, -3.5348e-05, 1.61179e-05,
        -5.9002e-06, 1.2931e-06, 3.543e-07, -6.29e-07, 4.37e-07,
        -2.044e-07, 6.011e-08, 4.728e-10, -1.464e-08, 1.163e-08,
        -5.896e-09,
    ],
    domain=_DOMAIN,
)  # fmt: skip
_V_SERIES = Chebyshev(
    [
        0.3372787639, 0.0343188163, -0.0231530531, 0.006997242, -0.0003812496,
        -0.0008097193, 0.0005439133, -0.0002262904, 6.93659e-05, -1.21978e-05,
        -3.8567e-06, 5.8833e-06, -4.1156e-06, 2.094e-06, -7.743e-07,
        1.439e-07, 6.504e-08, -8.726e-08, 5.602e-08, -2.532e-08,
        7.617e-09,
    ],
    domain=_DOMAIN,
)  # fmt: skip
# Their coefficients with those of the first two derivatives, highest order first.
_U, _DU, _DDU = ([float(c) for c in _U_SERIES.deriv(n).coef[::-1]] for n in (0, 1, 2))
_V, _DV, _DDV = ([float(c) for c in _V_SERIES.deriv(n).coef[::-1]] for n in (0, 1, 2))


def _sum(coefficients: list[float], mired: float) -> float:
    """A Chebyshev series at one point (Clenshaw's rule), without NumPy's cost for one number."""
    x = (2.0 * mired - LOWEST_MIRED - HIGHEST_MIRED) / (HIGHEST_MIRED - LOWEST_MIRED)
    last = before = 0.0
    for c in coefficients[:-1]:
        last, before = c + 2.0 * x * last - before, last
    return coefficients[-1] + x * last - before


def xy_to_uv(x: float, y: float) -> tuple[float, float]:
    """CIE 1960 u, v of CIE 1931 x, y (CIE 15).

    Parameters
    ----------
    x:
        CIE 1931 x.
    y:
        CIE 1931 y.

    Returns
    -------
    tuple[float, float]
        (u, v).

    Examples
    --------
    >>> u, v = xy_to_uv(0.3127, 0.3290)  # D65
    >>> f"{u:.4f} {v:.4f}"
    '0.1978 0.3122'
    """
    below = 12.0 * y - 2.0 * x + 3.0
    return 4.0 * x / below, 6.0 * y / below


def uv_to_xy(u: float, v: float) -> tuple[float, float]:
    """CIE 1931 x, y of CIE 1960 u, v.

    Parameters
    ----------
    u:
        CIE 1960 u.
    v:
        CIE 1960 v.

    Returns
    -------
    tuple[float, float]
        (x, y).

    Examples
    --------
    >>> x, y = uv_to_xy(*xy_to_uv(0.3127, 0.3290))
    >>> f"{x:.4f} {y:.4f}"
    '0.3127 0.3290'
    """
    below = 2.0 * u - 8.0 * v + 4.0
    return 3.0 * u / below, 2.0 * v / below


def locus_uv(mired: float) -> tuple[float, float]:
    """CIE 1960 u, v of the black body at a reciprocal temperature in mired, 40 to 1000.

    Parameters
    ----------
    mired:
        1e6 / K.

    Returns
    -------
    tuple[float, float]
        (u, v), within 4e-9.

    Examples
    --------
    >>> u, v = locus_uv(1e6 / 3200.0)
    >>> f"{u:.3f} {v:.3f}"
    '0.244 0.345'
    """
    return _sum(_U, mired), _sum(_V, mired)


def locus_slope(mired: float) -> tuple[float, float]:
    """(du, dv) per mired along the locus.

    Parameters
    ----------
    mired:
        40 to 1000.

    Returns
    -------
    tuple[float, float]
        du is above 0 everywhere.

    Examples
    --------
    >>> du, dv = locus_slope(200.0)
    >>> round((locus_uv(200.5)[0] - locus_uv(199.5)[0]) / du, 3)  # as the locus itself goes
    1.0
    """
    return _sum(_DU, mired), _sum(_DV, mired)


def locus_bend(mired: float) -> tuple[float, float]:
    """Second derivatives of (u, v) per square mired.

    Parameters
    ----------
    mired:
        40 to 1000.

    Returns
    -------
    tuple[float, float]
        (ddu, ddv).

    Examples
    --------
    >>> ddu, ddv = locus_bend(200.0)
    >>> round((locus_slope(200.5)[0] - locus_slope(199.5)[0]) / ddu, 3)  # as its slope goes
    1.0
    """
    return _sum(_DDU, mired), _sum(_DDV, mired)


def light_uv(kelvin: float, duv: float = 0.0) -> tuple[float, float]:
    """CIE 1960 u, v of a light of a colour temperature, `duv` off the locus square to it.

    A positive `duv` lies on the green side (ANSI C78.377-2008, the sign of Duv).

    Parameters
    ----------
    kelvin:
        Correlated colour temperature, 1000 to 25000.
    duv:
        In CIE 1960 u, v, about -0.05 to 0.05.

    Returns
    -------
    tuple[float, float]
        (u, v).

    Examples
    --------
    >>> u, v = light_uv(3200.0, 0.0)
    >>> f"{u:.3f} {v:.3f}"
    '0.244 0.345'
    """
    mired = 1e6 / kelvin
    u, v = locus_uv(mired)
    du, dv = locus_slope(mired)
    long = float(np.hypot(du, dv))
    # v rises square to the locus on its green side; du is positive everywhere along it.
    return u - duv * dv / long, v + duv * du / long


def light_xy(kelvin: float, duv: float = 0.0) -> tuple[float, float]:
    """CIE 1931 x, y of a light of a colour temperature, `duv` off the black-body locus.

    Parameters
    ----------
    kelvin:
        Correlated colour temperature, 1000 to 25000.
    duv:
        In CIE 1960 u, v, about -0.05 to 0.05, positive on the green side.

    Returns
    -------
    tuple[float, float]
        (x, y).

    Examples
    --------
    >>> x, y = light_xy(3200.0)
    >>> round(x, 4), round(y, 4)
    (0.4234, 0.399)
    """
    return uv_to_xy(*light_uv(kelvin, duv))


def daylight_xy(kelvin: float) -> tuple[float, float]:
    """CIE 1931 x, y of the daylight illuminant of a nominal temperature, 4000 to 25000 K.

    CIE 15; the temperature is used as given (no 1.4388/1.438 correction).

    Parameters
    ----------
    kelvin:
        Nominal temperature.

    Returns
    -------
    tuple[float, float]
        (x, y).

    Examples
    --------
    >>> x, y = daylight_xy(6504.0)  # D65
    >>> f"{x:.4f} {y:.4f}"
    '0.3127 0.3291'
    """
    t = kelvin
    if t <= 7000.0:
        x = -4.6070e9 / t**3 + 2.9678e6 / t**2 + 0.09911e3 / t + 0.244063
    else:
        x = -2.0064e9 / t**3 + 1.9018e6 / t**2 + 0.24748e3 / t + 0.237040
    return x, -3.0 * x * x + 2.870 * x - 0.275
