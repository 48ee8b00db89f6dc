"""What light on the mains does to a shutter, and what another shutter does to motion.

Light on mains of frequency f swings at 2 f. Over an exposure of t seconds a swing of depth one
averages to ``sin(pi 2 f t) / (pi 2 f t)`` (the mean of a cosine over an interval): nothing where t
holds whole half-periods of the mains, at any frame rate and for every harmonic of the swing.
"""

import math
from enum import Enum

FLICKER_STOPS = 0.05
"""Swing from peak to peak, under light that goes out altogether between half-waves, above which a
shutter is said to flicker: 3.5 % of the light. A choice of ours, no source; lamps that do not go
out between half-waves swing by a part of it."""

FRAME_SLACK = 1e-4
"""Share by which an exposure may seem longer than a frame through rounded rates (23.976)."""


class Mains(Enum):
    """What the lamps in the picture are fed with; the value is what a profile says.

    Examples
    --------
    >>> Mains.HZ50.hertz, Mains.NONE.hertz
    (50.0, None)
    """

    HZ50 = "50 Hz"
    HZ60 = "60 Hz"
    NONE = "none"
    """Daylight, batteries, or lamps known to be free of flicker."""
    UNKNOWN = "unknown"

    @property
    def hertz(self) -> float | None:
        """The frequency, or None."""
        return {Mains.HZ50: 50.0, Mains.HZ60: 60.0}.get(self)


def swing_stops(seconds: float, hertz: float) -> float:
    """Largest difference of exposure between two moments, in stops, at a mains frequency.

    For light whose swing reaches down to nothing; infinite for an exposure much shorter than it.

    Parameters
    ----------
    seconds:
        Exposure time, above 0.
    hertz:
        Mains frequency, above 0.

    Returns
    -------
    float
        0 for whole half-periods.

    Examples
    --------
    >>> round(swing_stops(1 / 50, 50.0), 6), round(swing_stops(1 / 48, 50.0), 2)
    (0.0, 0.11)
    """
    halves = 2.0 * hertz * seconds
    ripple = abs(math.sin(math.pi * halves)) / (math.pi * halves)
    return math.log2((1.0 + ripple) / (1.0 - ripple)) if ripple < 1.0 else math.inf


def flickers(seconds: float, mains: Mains) -> bool:
    """Whether a shutter flickers under the mains; False where they are unknown.

    Parameters
    ----------
    seconds:
        Exposure time, above 0.
    mains:
        What the lamps are fed with.

    Returns
    -------
    bool
        True above `FLICKER_STOPS`.

    Examples
    --------
    >>> flickers(1.0 / 50.0, Mains.HZ50), flickers(1.0 / 60.0, Mains.HZ50)
    (False, True)
    """
    hertz = mains.hertz
    return hertz is not None and swing_stops(seconds, hertz) > FLICKER_STOPS


def safe_seconds(mains: Mains, rate: float) -> tuple[float, ...]:
    """Exposure times of whole half-periods of the mains that fit a frame, shortest first.

    Parameters
    ----------
    mains:
        What the lamps are fed with.
    rate:
        Frames a second, above 0.

    Returns
    -------
    tuple[float, ...]
        Empty where the mains are unknown or there are none.

    Examples
    --------
    >>> safe_seconds(Mains.HZ50, 25.0)
    (0.01, 0.02, 0.03, 0.04)
    """
    hertz = mains.hertz
    if hertz is None:
        return ()
    most = math.floor(2.0 * hertz / rate * (1.0 + FRAME_SLACK))
    return tuple(n / (2.0 * hertz) for n in range(1, most + 1))


def fits_a_frame(seconds: float, rate: float | None) -> bool:
    """Whether an exposure is no longer than a frame at a rate (where the rate is known).

    Parameters
    ----------
    seconds:
        Exposure time.
    rate:
        Frames a second; None where unknown.

    Returns
    -------
    bool
        True where the rate is unknown.

    Examples
    --------
    >>> fits_a_frame(1 / 50, 25.0), fits_a_frame(1 / 10, 25.0), fits_a_frame(1 / 10, None)
    (True, False, True)
    """
    return rate is None or seconds <= (1.0 + FRAME_SLACK) / rate


def flicker_note(seconds: float, mains: Mains) -> str | None:
    """What to say of flicker at an exposure time; None where there is nothing to say.

    Parameters
    ----------
    seconds:
        Exposure time, above 0.
    mains:
        Where unknown, both frequencies are tried.

    Returns
    -------
    str | None
        To follow the name of the setting.

    Examples
    --------
    >>> flicker_note(1.0 / 60.0, Mains.HZ50), flicker_note(1.0 / 60.0, Mains.HZ60)
    ('flickers under lamps on 50 Hz mains', None)
    """
    if mains is Mains.NONE:
        return None
    if mains is not Mains.UNKNOWN:
        if not flickers(seconds, mains):
            return None
        return f"flickers under lamps on {mains.value} mains"
    hit = [m.value for m in (Mains.HZ50, Mains.HZ60) if flickers(seconds, m)]
    if not hit:
        return None
    return f"flickers under lamps on {' and on '.join(hit)} mains"


def motion_note(before_s: float, after_s: float) -> str | None:
    """What to say of motion when the exposure time changes; None where it hardly does.

    Parameters
    ----------
    before_s:
        Exposure time now, above 0.
    after_s:
        Exposure time then, above 0.

    Returns
    -------
    str | None
        For less than a tenth of a stop, None.

    Examples
    --------
    >>> motion_note(1 / 50, 1 / 100)
    'motion gets crisper: 0.5 times the blur'
    """
    share = after_s / before_s
    if abs(math.log2(share)) < 0.1:
        return None
    if share < 1.0:
        return f"motion gets crisper: {share:.2g} times the blur"
    return f"motion gets softer: {share:.2g} times the blur"
