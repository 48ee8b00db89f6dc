"""Student's t: what few degrees of freedom leave open of a standard error."""

import numba as nb


@nb.njit(cache=True, nogil=True)
def student95(degrees: float) -> float:
    """Half width of 95 % of Student's t.

    Exact for 1 and 2 degrees of freedom; above, the expansion of Cornish and Fisher as in
    Abramowitz & Stegun 26.7.5, within 0.5 % from 3 on.

    Parameters
    ----------
    degrees:
        Of freedom, 1 or more.

    Returns
    -------
    float
        In standard deviations, without a unit.

    Examples
    --------
    >>> f"{student95(1.0):.2f} {student95(10.0):.3f} {student95(1e9):.3f}"
    '12.71 2.228 1.960'
    """
    if degrees < 1.5:
        return 12.706
    if degrees < 2.5:
        return 4.303
    z = 1.959964
    first = (z**3 + z) / 4.0
    second = (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0
    third = (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / 384.0
    fourth = (79.0 * z**9 + 776.0 * z**7 + 1482.0 * z**5 - 1920.0 * z**3 - 945.0 * z) / 92160.0
    return z + (first + (second + (third + fourth / degrees) / degrees) / degrees) / degrees
