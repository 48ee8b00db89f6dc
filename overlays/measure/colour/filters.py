"""Conversion filters by the mired shift they make, and the nearest one to a shift wanted."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Filter:
    """A sheet for a lamp, by its trade name.

    `mired` is positive where it makes the light warmer (CTO) and negative where bluer (CTB).
    """

    name: str
    mired: float


# Common practice, no source: a widely printed trade table; makers differ by about 10 %.
SHEETS = (
    Filter("1/8 CTO", 26.0),
    Filter("1/4 CTO", 64.0),
    Filter("1/2 CTO", 109.0),
    Filter("3/4 CTO", 124.0),
    Filter("full CTO", 159.0),
    Filter("1/8 CTB", -18.0),
    Filter("1/4 CTB", -35.0),
    Filter("1/2 CTB", -78.0),
    Filter("3/4 CTB", -112.0),
    Filter("full CTB", -137.0),
    Filter("double CTB", -274.0),
)
MAKERS_DIFFER = 0.10
"""Share by which one maker's sheet differs from another's (common practice, no source)."""


def nearest_filter(shift_mired: float) -> Filter | None:
    """The sheet whose shift comes nearest to the one wanted; None where no sheet is better.

    Parameters
    ----------
    shift_mired:
        Wanted, positive for warmer.

    Returns
    -------
    Filter | None
        From `SHEETS`.

    Examples
    --------
    >>> nearest_filter(100.0)
    Filter(name='1/2 CTO', mired=109.0)
    """
    best = min(SHEETS, key=lambda sheet: abs(sheet.mired - shift_mired))
    return best if abs(best.mired - shift_mired) < abs(shift_mired) else None
