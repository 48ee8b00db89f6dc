"""The light that falls on a card, from the card's linear R, G, B, with what is uncertain of it."""

from dataclasses import dataclass

import numpy as np

from overlays.measure.colour.cielab import bradford
from overlays.measure.colour.locus import light_xy
from overlays.measure.colour.whitepoint import (
    WhitePoint,
    uv_slopes,
    white_point,
    white_slopes,
    xyz_to_uv,
)
from overlays.measure.spot.spot import SpotReading
from overlays.signal.gamuts import FloatArray, Gamut, xy_to_xyz


@dataclass(frozen=True, slots=True)
class CardLight:
    """A light found from the card, with the half widths of mired and Duv."""

    point: WhitePoint
    mired_pm: float
    duv_pm: float

    def kelvin_pm(self) -> float:
        """Half width in kelvin: the wider side, which lies towards the blue."""
        return _kelvin_pm(self.point.mired, self.mired_pm)


def _kelvin_pm(mired: float, mired_pm: float) -> float:
    return 1e6 / max(mired - mired_pm, 1.0) - 1e6 / mired


def light_of(spot: SpotReading, to_xyz: FloatArray) -> CardLight | None:
    """The light of XYZ `to_xyz` times the card's linear R, G, B; None where it is no white.

    Parameters
    ----------
    spot:
        The card's reading, with its errors.
    to_xyz:
        (3, 3) float64, linear R, G, B to XYZ under the light's white.

    Returns
    -------
    CardLight | None
        With 95 % half widths.
    """
    xyz = to_xyz @ np.array(spot.rgb_linear)
    u, v = xyz_to_uv(xyz)
    point = white_point(u, v)
    if point is None:
        return None
    slopes = white_slopes(u, v, point.mired) @ uv_slopes(xyz) @ to_xyz
    return CardLight(point, spot.errors.pm(slopes[0]), spot.errors.pm(slopes[1]))


def light_under(spot: SpotReading, gamut: Gamut, dial: WhitePoint) -> CardLight | None:
    """The light itself, given what the camera is dialled to; None where that is no white light.

    By the Bradford transform from the gamut's white to the dial; what gains on the camera's linear
    R, G, B would say instead goes into the ±.

    Parameters
    ----------
    spot:
        The card's reading, with its errors.
    gamut:
        What its linear R, G, B mean.
    dial:
        The light that the camera takes for neutral.

    Returns
    -------
    CardLight | None
        With 95 % half widths.
    """
    white = light_xy(dial.kelvin, dial.duv)
    light = light_of(spot, bradford(gamut.white, white) @ gamut.to_xyz)
    gains = gamut.from_xyz @ xy_to_xyz(white)
    if light is None or float(gains.min()) <= 0.0:
        return light
    return _with_doubt(light, light_of(spot, gamut.to_xyz * gains))


def _with_doubt(light: CardLight, other: CardLight | None) -> CardLight:
    """The light with what the other rule of adaptation says in its ±."""
    if other is None:
        return light
    return CardLight(
        light.point,
        # The camera follows one rule or the other: their difference is no noise and adds as it is.
        light.mired_pm + abs(light.point.mired - other.point.mired),
        light.duv_pm + abs(light.point.duv - other.point.duv),
    )
