"""CIE L*a*b*, CIEDE2000, and the chromatic adaptation that brings two whites together."""

import numpy as np
import numpy.typing as npt

from overlays.signal.gamuts import Chromaticity, xy_to_xyz

FloatArray = npt.NDArray[np.float64]

# Lam (1985), as printed in ICC.1:2022 Annex E.
_BRADFORD = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)


def bradford(start: Chromaticity, end: Chromaticity) -> FloatArray:
    """(3, 3) matrix that takes XYZ under the white `start` to XYZ under the white `end`.

    Von Kries' rule on the Bradford cone responses (Lam 1985; ICC.1:2022 Annex E).

    Parameters
    ----------
    start, end:
        CIE 1931 x, y.

    Returns
    -------
    ndarray
        (3, 3) float64, without a unit.

    Examples
    --------
    >>> d50, d65 = (0.3457, 0.3585), (0.3127, 0.3290)
    >>> np.allclose(bradford(d50, d65) @ xy_to_xyz(d50), xy_to_xyz(d65))
    True
    """
    gain = (_BRADFORD @ xy_to_xyz(end)) / (_BRADFORD @ xy_to_xyz(start))
    return np.asarray(np.linalg.solve(_BRADFORD, gain[:, None] * _BRADFORD), dtype=np.float64)


def xyz_to_lab(xyz: FloatArray, white: Chromaticity) -> FloatArray:
    """L*, a*, b* of XYZ, (..., 3), scaled so that the white has Y = 1 (CIE 15).

    Parameters
    ----------
    xyz:
        (..., 3) float64, 1.0 at the white's Y.
    white:
        CIE 1931 x, y.

    Returns
    -------
    ndarray
        (..., 3) float64; L* is 100 at the white.

    Examples
    --------
    >>> xyz_to_lab(0.18418652 * xy_to_xyz((0.3127, 0.3290)), (0.3127, 0.3290)).round(3).tolist()
    [50.0, 0.0, 0.0]
    """
    ratio = np.asarray(xyz, dtype=np.float64) / xy_to_xyz(white)
    low = 6.0 / 29.0
    straight = ratio / (3.0 * low * low) + 4.0 / 29.0
    f = np.where(ratio > low**3, np.cbrt(ratio), straight)
    fx, fy, fz = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)], axis=-1)


def lab_to_xyz(lab: FloatArray, white: Chromaticity) -> FloatArray:
    """XYZ of L*, a*, b*, (..., 3), 1.0 at the white's Y; the inverse of `xyz_to_lab`.

    Parameters
    ----------
    lab:
        (..., 3) float64.
    white:
        CIE 1931 x, y.

    Returns
    -------
    ndarray
        (..., 3) float64.

    Examples
    --------
    >>> lab_to_xyz(np.array([50.0, 0.0, 0.0]), (0.3127, 0.3290)).round(4).tolist()  # Y of L* 50
    [0.1751, 0.1842, 0.2006]
    """
    fy = (lab[..., 0] + 16.0) / 116.0
    f = np.stack([fy + lab[..., 1] / 500.0, fy, fy - lab[..., 2] / 200.0], axis=-1)
    low = 6.0 / 29.0
    ratio = np.where(f > low, f**3, 3.0 * low * low * (f - 4.0 / 29.0))
    return np.asarray(ratio * xy_to_xyz(white), dtype=np.float64)


def chroma(lab: FloatArray) -> FloatArray:
    """C*ab of L*, a*, b*, (..., 3).

    Parameters
    ----------
    lab:
        (..., 3) float64.

    Returns
    -------
    ndarray
        (...) float64, 0 or above.

    Examples
    --------
    >>> chroma(np.array([50.0, 3.0, -4.0]))
    array(5.)
    """
    return np.asarray(np.hypot(lab[..., 1], lab[..., 2]), dtype=np.float64)


def hue_degrees(lab: FloatArray) -> FloatArray:
    """h_ab in degrees, 0 to 360, of L*, a*, b*, (..., 3).

    Parameters
    ----------
    lab:
        (..., 3) float64.

    Returns
    -------
    ndarray
        (...) float64; 0 where there is no chroma.

    Examples
    --------
    >>> hue_degrees(np.array([[50.0, 0.0, 1.0], [50.0, 0.0, -1.0]])).tolist()
    [90.0, 270.0]
    """
    return np.asarray(np.degrees(np.arctan2(lab[..., 2], lab[..., 1])) % 360.0, dtype=np.float64)


def turn_degrees(start: FloatArray, end: FloatArray) -> FloatArray:
    """Shortest way from one hue to another in degrees, -180 to 180.

    For hues of 0 to 360; half a turn keeps the sign of ``end - start``, as CIEDE2000 asks.

    Parameters
    ----------
    start:
        float64 of any shape, degrees.
    end:
        float64 of a shape that fits.

    Returns
    -------
    ndarray
        float64.

    Examples
    --------
    >>> float(turn_degrees(np.array(350.0), np.array(10.0)))
    20.0
    """
    way = end - start
    return np.asarray(np.where(np.abs(way) > 180.0, way - np.sign(way) * 360.0, way))


def ciede2000(lab_1: FloatArray, lab_2: FloatArray) -> FloatArray:
    """CIEDE2000 colour difference of two L*, a*, b*, (..., 3), with kL = kC = kH = 1.

    CIE 142:2001 / ISO/CIE 11664-6; the form and the order of cases of Sharma, Wu and Dalal (2005),
    whose 34 pairs are the check. Symmetric in its arguments; 0 for equal colours.

    Parameters
    ----------
    lab_1, lab_2:
        (..., 3) float64.

    Returns
    -------
    ndarray
        (...) float64, 0 or above.

    Examples
    --------
    >>> one = np.array([50.0, 2.6772, -79.7751])  # the first pair of Sharma, Wu and Dalal
    >>> float(ciede2000(one, np.array([50.0, 0.0, -82.7485])).round(4))
    2.0425
    """
    l_1, a_1, c_1, h_1, l_2, a_2, c_2, h_2 = _primed(lab_1, lab_2)
    del a_1, a_2
    d_l, d_c = l_2 - l_1, c_2 - c_1
    gray = c_1 * c_2 == 0.0
    d_h_angle = np.where(gray, 0.0, turn_degrees(h_1, h_2))
    d_h = 2.0 * np.sqrt(c_1 * c_2) * np.sin(np.radians(d_h_angle) / 2.0)
    l_mean, c_mean = (l_1 + l_2) / 2.0, (c_1 + c_2) / 2.0
    h_mean = _mean_hue(h_1, h_2, gray)
    t = (
        1.0
        - 0.17 * np.cos(np.radians(h_mean - 30.0))
        + 0.24 * np.cos(np.radians(2.0 * h_mean))
        + 0.32 * np.cos(np.radians(3.0 * h_mean + 6.0))
        - 0.20 * np.cos(np.radians(4.0 * h_mean - 63.0))
    )
    s_l = 1.0 + 0.015 * (l_mean - 50.0) ** 2 / np.sqrt(20.0 + (l_mean - 50.0) ** 2)
    s_c, s_h = 1.0 + 0.045 * c_mean, 1.0 + 0.015 * c_mean * t
    bend = 30.0 * np.exp(-(((h_mean - 275.0) / 25.0) ** 2))
    r_t = -np.sin(np.radians(2.0 * bend)) * 2.0 * _seventh(c_mean)
    e_l, e_c, e_h = d_l / s_l, d_c / s_c, d_h / s_h
    return np.asarray(np.sqrt(np.maximum(e_l**2 + e_c**2 + e_h**2 + r_t * e_c * e_h, 0.0)))


def _seventh(c: FloatArray) -> FloatArray:
    """sqrt(C^7 / (C^7 + 25^7)), which appears twice in the formula."""
    power = c**7
    return np.asarray(np.sqrt(power / (power + 25.0**7)))


def _primed(lab_1: FloatArray, lab_2: FloatArray) -> tuple[FloatArray, ...]:
    """L', a', C', h' of both colours: a* is stretched where the two are near grey."""
    g = 0.5 * (1.0 - _seventh((chroma(lab_1) + chroma(lab_2)) / 2.0))
    out: list[FloatArray] = []
    for lab in (lab_1, lab_2):
        a = lab[..., 1] * (1.0 + g)
        b = lab[..., 2]
        h = np.degrees(np.arctan2(b, a)) % 360.0
        out += [lab[..., 0], a, np.hypot(a, b), h]
    return tuple(out)


def _mean_hue(h_1: FloatArray, h_2: FloatArray, gray: npt.NDArray[np.bool_]) -> FloatArray:
    """Mean of two hues the short way round; their sum where one colour has none."""
    total = h_1 + h_2
    apart = np.abs(h_1 - h_2) > 180.0
    # Beyond half a turn apart the mean lies opposite; kept within 0..360.
    opposite = np.where(total < 360.0, (total + 360.0) / 2.0, (total - 360.0) / 2.0)
    return np.asarray(np.where(gray, total, np.where(apart, opposite, total / 2.0)))
