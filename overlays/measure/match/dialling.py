"""What to dial on camera B so that its balance is that of camera A."""

import math
from dataclasses import dataclass

import numpy as np

from overlays.measure.colour.card_light import cameras_differ, kelvin_pm
from overlays.measure.colour.cielab import bradford
from overlays.measure.colour.locus import light_xy
from overlays.measure.colour.whitepoint import WhitePoint, white_point, xyz_to_uv
from overlays.signal.gamuts import Gamut, xy_to_xyz


@dataclass(frozen=True, slots=True)
class Dialling:
    """A setting of B's balance.

    Attributes
    ----------
    white:
        The light to be dialled.
    kelvin_pm:
        Its 95 % half width, by noise and by what cameras differ by over such a step.
    green_stops:
        What dialling it does to green.
    """

    white: WhitePoint
    kelvin_pm: float
    green_stops: float


def dialling(
    gamut: Gamut, dial: WhitePoint, gains: tuple[float, float], gains_pm: float
) -> Dialling | None:
    """What to dial on B; None where no white light would make that balance.

    Parameters
    ----------
    gamut:
        What B's R, G, B mean.
    dial:
        What its balance is dialled to now.
    gains:
        Stops to add on its red and blue against green.
    gains_pm:
        Their 95 % half width.

    Returns
    -------
    Dialling | None
        By the Bradford transform, as the balance off a card is.

    Examples
    --------
    >>> from overlays.signal.gamuts import published_gamut
    >>> gamut, dial = published_gamut("BT.709"), WhitePoint(5600.0, 0.0)
    >>> found = dialling(gamut, dial, gains=(0.0, 0.0), gains_pm=0.01)
    >>> round(found.white.kelvin), round(abs(found.green_stops), 3)  # nothing to add: as it is
    (5600, 0.0)
    """
    found = _by_bradford(gamut, dial, gains)
    if found is None:
        return None
    white, green_stops = found
    red, blue = gains
    moved = _by_bradford(gamut, dial, (red + gains_pm, blue - gains_pm))
    other = _by_gains(gamut, dial, gains)
    noise = 0.0 if moved is None else abs(moved[0].mired - white.mired)
    rules = 0.0 if other is None else abs(other.mired - white.mired)
    width = noise + max(rules, cameras_differ(dial, white)[0])
    return Dialling(white, kelvin_pm(white.mired, width), green_stops)


def _by_bradford(
    gamut: Gamut, dial: WhitePoint, gains: tuple[float, float]
) -> tuple[WhitePoint, float] | None:
    """The light to be dialled on B, and what dialling it does to green, in stops."""
    # What a neutral reads on B, green being 1, where A's picture is the measure.
    neutral = np.array([2.0 ** -gains[0], 1.0, 2.0 ** -gains[1]])
    to_light = bradford(gamut.white, light_xy(dial.kelvin, dial.duv))
    xyz = to_light @ gamut.to_xyz @ neutral
    white = white_point(*xyz_to_uv(xyz))
    if white is None or float(xyz[1]) <= 0.0:
        return None
    # A light of luminance 1 shows as neutral / xyz[1] now, and as 1, 1, 1 once it is dialled.
    return white, math.log2(float(xyz[1]))


def _by_gains(gamut: Gamut, dial: WhitePoint, gains: tuple[float, float]) -> WhitePoint | None:
    """The same for a camera whose balance is gains on its R, G, B."""
    before = gamut.from_xyz @ xy_to_xyz(light_xy(dial.kelvin, dial.duv))
    after = before * np.array([2.0 ** -gains[0], 1.0, 2.0 ** -gains[1]])
    return white_point(*xyz_to_uv(gamut.to_xyz @ after))
