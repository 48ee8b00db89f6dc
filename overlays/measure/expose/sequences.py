"""The numbers engraved on lenses and cameras, and what they are worth in stops of light.

A nominal marking is a rounded name for a place on an even scale: f/5.6 stands for 2**(5/2), which
is five stops exactly, ISO 1250 for 100 * 2**(11/3). What the markings stand for is used, not the
rounded numbers; a number that is on no scale (T2.1) is taken at its face value. Times are what
they say (1/50 s is 0.02 s), and neutral densities are decimal logarithms.

Sources: ISO 517 for whole aperture numbers, ISO 12232 for speeds; the third-stop names of both
from memory. tests/reference/exposure.csv holds every row.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

THIRD = 1.0 / 3.0

# Nominal speed for each third of a stop from -6/3 (ISO 25) to 39/3 (ISO 819200); 100 is 0.
# fmt: off
ISO_NUMBERS = (
    25, 32, 40, 50, 64, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600,
    2000, 2500, 3200, 4000, 5000, 6400, 8000, 10000, 12800, 16000, 20000, 25600,
    32000, 40000, 51200, 64000, 80000, 102400, 128000, 160000, 204800, 256000, 320000, 409600,
    512000, 640000, 819200,
)
_ISO_FIRST_THIRD = -6

# Nominal aperture for each third of a stop from f/1 (0) to f/32 (10 stops).
APERTURE_NUMBERS = (
    1.0, 1.1, 1.2, 1.4, 1.6, 1.8, 2.0, 2.2, 2.5, 2.8, 3.2, 3.5, 4.0, 4.5, 5.0, 5.6, 6.3, 7.1, 8.0,
    9.0, 10.0, 11.0, 13.0, 14.0, 16.0, 18.0, 20.0, 22.0, 25.0, 29.0, 32.0,
)

ND_DENSITIES = tuple(round(0.1 * n, 1) for n in range(31))
"""Sheets and filters in steps of 0.1, a third of a stop each but for 0.3 %."""

SHUTTER_ANGLES_DEG = (11.25, 22.5, 45.0, 90.0, 144.0, 150.0, 172.8, 180.0, 216.0, 270.0, 360.0)

# Denominators of shutter times; 24, 48 and 120 stand beside the third-stop names for the sake of
# film rates and of 60 Hz mains. From memory.
SHUTTER_TIMES = (
    2000, 1600, 1250, 1000, 800, 640, 500, 400, 320, 250, 200, 160, 125, 120, 100, 80, 60, 50, 48,
    40, 30, 25, 24,
)
# fmt: on


class ControlKind(Enum):
    """What on a camera changes how much light is recorded; the value is its name in JSON."""

    ND = "nd"
    APERTURE = "aperture"
    ISO = "iso"
    SHUTTER = "shutter"


@dataclass(frozen=True, slots=True)
class Setting:
    """One position of a control.

    Attributes
    ----------
    label:
        As a person says it: "f/5.6", "ISO 800", "180 deg", "1/50 s", "ND 0.6".
    value:
        As the command line takes it and JSON gives it.
    stops:
        Light it lets through or makes of it, in stops against the control's own zero; settings of
        one control may be subtracted.
    seconds:
        Exposure time; None for what is no shutter.
    """

    label: str
    value: float | str
    stops: float
    seconds: float | None = None


@dataclass(frozen=True, slots=True)
class Control:
    """A control of the camera, where it stands, and where it can be put.

    `allowed` goes from least to most light; `now` need not be among them.
    """

    kind: ControlKind
    now: Setting
    allowed: tuple[Setting, ...]


def iso(number: float) -> Setting:
    """A speed: a third-stop name stands for its place on the scale, any other for itself.

    Parameters
    ----------
    number:
        Above 0.

    Returns
    -------
    Setting
        Its zero is ISO 100.

    Examples
    --------
    >>> iso(1250).stops * 3
    11.0
    """
    stops = math.log2(number / 100.0)
    if number in ISO_NUMBERS:
        stops = (ISO_NUMBERS.index(int(number)) + _ISO_FIRST_THIRD) * THIRD
    return Setting(f"ISO {number:g}", number, stops)


def aperture(number: float, letter: str = "f/") -> Setting:
    """An f-number, or with ``letter="T"`` a T-number.

    Parameters
    ----------
    number:
        Above 0.
    letter:
        What stands before the number on the label.

    Returns
    -------
    Setting
        Its zero is f/1; each further one lets less through.

    Examples
    --------
    >>> aperture(5.6).stops
    -5.0
    """
    stops = 2.0 * math.log2(number)
    if number in APERTURE_NUMBERS:
        stops = APERTURE_NUMBERS.index(number) * THIRD
    return Setting(f"{letter}{number:g}", number, 0.0 - stops)


def density(number: float) -> Setting:
    """A neutral density filter by its optical density; 0 is no filter.

    Parameters
    ----------
    number:
        Decimal logarithm of what it takes away, 0 or above.

    Returns
    -------
    Setting
        Its zero is no filter.

    Examples
    --------
    >>> round(density(0.3).stops, 3)
    -0.997
    """
    label = f"ND {number:g}" if number else "no ND"
    return Setting(label, number, 0.0 - number / math.log10(2.0))


def density_in_stops(stops: float) -> Setting:
    """A neutral density filter that is marked in stops.

    Parameters
    ----------
    stops:
        What it takes away, 0 or above.

    Returns
    -------
    Setting
        Its zero is no filter.

    Examples
    --------
    >>> density_in_stops(2.0).stops
    -2.0
    """
    return Setting(f"ND of {stops:g} st", f"{stops:g} st", 0.0 - stops)


def stacked(filters: Sequence[Setting]) -> Setting:
    """ND filters one behind the other: what they take away adds up.

    Parameters
    ----------
    filters:
        From `density` or `density_in_stops`.

    Returns
    -------
    Setting
        Its zero is no filter.

    Examples
    --------
    >>> stacked([density(0.6), density(0.3)]).label
    'ND 0.6 + 0.3'
    """
    marks = [each.label.removeprefix("ND ").removeprefix("of ") for each in filters]
    return Setting(
        f"ND {' + '.join(marks)}",
        " + ".join(str(each.value) for each in filters),
        math.fsum(each.stops for each in filters),
    )


def shutter_angle(degrees: float, rate: float) -> Setting:
    """A shutter angle at a rate in frames a second: open for angle / 360 of a frame's time.

    Parameters
    ----------
    degrees:
        Above 0 to 360.
    rate:
        Above 0.

    Returns
    -------
    Setting
        Its zero is an exposure of one second.

    Examples
    --------
    >>> shutter_angle(180, 25).seconds
    0.02
    """
    seconds = degrees / (360.0 * rate)
    text = f"{degrees:.4g} deg"
    return Setting(text, text, math.log2(seconds), seconds)


def shutter_time(seconds: float) -> Setting:
    """A shutter time.

    Parameters
    ----------
    seconds:
        Above 0.

    Returns
    -------
    Setting
        Its zero is an exposure of one second.

    Examples
    --------
    >>> shutter_time(0.02).label
    '1/50 s'
    """
    below = 1.0 / seconds
    whole = round(below)
    text = f"{seconds:g} s"
    if below >= 1.5:
        text = f"1/{whole} s" if abs(below - whole) < 1e-6 * below else f"1/{below:.4g} s"
    return Setting(text, text, math.log2(seconds), seconds)
