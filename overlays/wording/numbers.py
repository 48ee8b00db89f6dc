"""Numbers as they stand on the screen: a true minus, fixed decimals, dashes where nothing is known.

Decimals are those the ± allows: a figure that the noise makes up is not shown.
"""

import math
import re

from overlays.wording.reasons import Bound

MINUS = "−"
UNKNOWN = "– –"
"""Stands where a number cannot be known, or is withdrawn because the feed is stale."""

STEP_KELVIN = 10.0
"""Finer than any dial."""

LOPSIDED = 0.25
"""Half width as a share of the colour temperature from which on it says little: kelvin are no even
scale, and its two sides differ by more than that share too."""

HIGHEST_KELVIN = 25000.0
"""Up to which colour temperatures are reckoned with (Ohno 2013, see `white_point`)."""

_HYPHEN_MINUS = re.compile(r"-(?=\d)")


def typeset(words: str) -> str:
    """Words with true minus signs."""
    return _HYPHEN_MINUS.sub(MINUS, words)


def signed(number: float, decimals: int) -> str:
    """With its sign; plain where it rounds to zero."""
    text = f"{number:+.{decimals}f}"
    if float(text) == 0.0:
        return text[1:]
    return text.replace("-", MINUS)


def stops_text(stops: float | None, pm: float | None = None, bound: Bound | None = None) -> str:
    """Stops from mid-grey: two decimals, one where the ± is half a stop or more.

    A bound says so, and has one decimal: "at least +2.4".
    """
    number = stops_number(stops, pm, bound)
    return number if bound is None or number == UNKNOWN else f"{bound.value} {number}"


def stops_number(stops: float | None, pm: float | None, bound: Bound | None) -> str:
    """The same without the words of the bound, for type so large that they stand elsewhere."""
    if stops is None or not math.isfinite(stops):
        return UNKNOWN
    coarse = bound is not None or (pm is not None and pm >= 0.5)
    return signed(stops, 1 if coarse else 2)


def room_text(stops: float | None) -> str:
    """Headroom or footroom in stops."""
    if stops is None or not math.isfinite(stops):
        return UNKNOWN
    return f"{stops:.1f}".replace("-", MINUS)


def percent_text(percent: float | None) -> str:
    """Video level with one decimal."""
    if percent is None or not math.isfinite(percent):
        return UNKNOWN
    text = f"{percent:.1f}"
    return (text[1:] if float(text) == 0.0 and text[0] == "-" else text).replace("-", MINUS)


def pm_text(pm: float | None, decimals: int) -> str:
    """A half width at 95 %, rounded up: it must not promise more than it is.

    `decimals` below 0 are tens, hundreds and so on, as beside a number that is rounded to them.
    """
    if pm is None or not math.isfinite(pm):
        return "± ?"
    step = 10.0**-decimals
    return f"±{math.ceil(pm / step - 1e-9) * step:.{max(decimals, 0)}f}"


def share_text(share: float | None) -> str:
    """A share of 0..1 in percent: whole above ten, "<0.1" for less than can be printed."""
    if share is None or not math.isfinite(share):
        return UNKNOWN
    percent = share * 100.0
    if percent == 0.0:
        return "0"
    if percent < 0.1:
        return "<0.1"
    # 99.6 % is not all of it.
    return (
        f"{min(percent, 99.9):.1f}"
        if percent < 10.0 or 99.0 < percent < 100.0
        else f"{percent:.0f}"
    )


def dial_words(kelvin: float) -> str:
    """A colour temperature as it is dialled.

    Parameters
    ----------
    kelvin:
        Above 0.

    Returns
    -------
    str
        Rounded to ten kelvin.

    Examples
    --------
    >>> dial_words(3523.4)
    '3520 K'
    """
    return f"{STEP_KELVIN * round(kelvin / STEP_KELVIN):.0f} K"


def dial_pm_words(kelvin: float, pm: float) -> str:
    """How sure a colour temperature is: a half width, or both ends where its sides are unlike.

    Parameters
    ----------
    kelvin:
        Above 0.
    pm:
        Half width towards the blue, 0 or above; towards the red it is the same step in mired.

    Returns
    -------
    str
        In tens of kelvin.

    Examples
    --------
    >>> dial_pm_words(5600.0, 344.0), dial_pm_words(9024.0, 11900.0)
    ('±350 K', '5750 to 20920 K')
    >>> dial_pm_words(9024.0, 30000.0)
    '5100 K or more'
    """
    if pm <= LOPSIDED * kelvin:
        return f"{pm_text(pm, -1)} K"
    high = kelvin + pm
    low = dial_words(1.0 / (2.0 / kelvin - 1.0 / high))
    return f"{low} or more" if high > HIGHEST_KELVIN else f"{low[:-2]} to {dial_words(high)}"
