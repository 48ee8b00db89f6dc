"""The light that falls on a card, from the card's linear R, G, B, with what is uncertain of it."""

from dataclasses import dataclass

import numpy as np

from overlays.measure.colour.cielab import bradford
from overlays.measure.colour.locus import HIGHEST_KELVIN, daylight_xy, light_xy, xy_to_uv
from overlays.measure.colour.whitepoint import (
    WhitePoint,
    uv_slopes,
    white_point,
    white_slopes,
    xyz_to_uv,
)
from overlays.measure.spot.spot import SpotReading
from overlays.signal.gamuts import FloatArray, Gamut, xy_to_xyz

MIRED_SHARE = 0.30
"""Share of a step in mired that a camera's own way of balancing may make of it.

Simulated from measured spectral sensitivities: seven cameras (Darrodi et al. 2015, two, and the
third that colour-science 0.4.7 carries; four of Jiang et al. 2013), each with a matrix fitted to
three sets of published patch reflectances, at the dial's light or fixed at 4500 K, dialled and lit
from 2700 to 7500 K along the black-body or the daylight locus. Half of all steps were within 0.04
of what the Bradford transform says and 95 of 100 within 0.20, but of the camera with a stacked
sensor within 0.30. What gains on linear R, G, B would say alone held 0.59 of them."""
DUV_SHARE = 7e-5
"""The same of Duv by mired of the step, `_zeros_apart` counted besides: 96 of 100 were within."""
_DAYLIGHT_KELVIN = 4000.0
"""From here on daylight is defined (CIE 15)."""


@dataclass(frozen=True, slots=True)
class CardLight:
    """A light found from the card, with the half widths of mired and Duv.

    `camera_mired` is the part of the first that is no noise but what cameras differ by.

    Examples
    --------
    >>> light = CardLight(WhitePoint(kelvin=5000.0, duv=0.0), mired_pm=2.0, duv_pm=0.0005)
    >>> round(light.kelvin_pm(), 1)  # 200 less 2 mired is 5050.5 K
    50.5
    """

    point: WhitePoint
    mired_pm: float
    duv_pm: float
    camera_mired: float = 0.0

    def kelvin_pm(self) -> float:
        """Half width in kelvin: the wider side, which lies towards the blue."""
        return kelvin_pm(self.point.mired, self.mired_pm)


def kelvin_pm(mired: float, mired_pm: float) -> float:
    """Half width in kelvin of a half width in mired: the wider side, which lies towards the blue.

    Parameters
    ----------
    mired:
        Of the light, above 0.
    mired_pm:
        0 or above.

    Returns
    -------
    float
        0 or above.

    Examples
    --------
    >>> round(kelvin_pm(200.0, 10.0))
    263
    """
    return 1e6 / max(mired - mired_pm, 1.0) - 1e6 / mired


def cameras_differ(dial: WhitePoint, light: WhitePoint) -> tuple[float, float]:
    """By how much another camera may need another step from its dial to a light.

    Parameters
    ----------
    dial:
        What the camera takes for neutral.
    light:
        What it should.

    Returns
    -------
    tuple[float, float]
        Half widths in mired and in Duv; 0 where there is no step.

    Examples
    --------
    >>> tungsten, halogen = WhitePoint(3200.0, 0.0), WhitePoint(3000.0, 0.0)
    >>> mired, duv = cameras_differ(tungsten, halogen)
    >>> round(mired, 2)  # 0.3 of the 20.8 mired between them
    6.25
    """
    step = abs(light.mired - dial.mired)
    return MIRED_SHARE * step, DUV_SHARE * step + _zeros_apart(dial, light)


def _zeros_apart(dial: WhitePoint, light: WhitePoint) -> float:
    """What a tint of 0 may stand for: the black body at every setting, or daylight from 4000 K."""
    return abs(_daylight_duv(light.kelvin) - _daylight_duv(dial.kelvin))


def _daylight_duv(kelvin: float) -> float:
    """Duv of daylight of a temperature; 0 below where there is none."""
    if not _DAYLIGHT_KELVIN <= kelvin <= HIGHEST_KELVIN:
        return 0.0
    point = white_point(*xy_to_uv(*daylight_xy(kelvin)))
    return 0.0 if point is None else point.duv


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

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> card = read_spot(grey_frame([[502]], cell=16), VIDEO, SpotPlace(8, 8, 8))
    >>> round(light_of(card, published_gamut("BT.709").to_xyz).point.kelvin)  # D65
    6504
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

    By the Bradford transform from the gamut's white to the dial. What gains on the camera's linear
    R, G, B would say instead, and what real cameras differ by, goes into the ±.

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

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> card = read_spot(grey_frame([[502]], cell=16), VIDEO, SpotPlace(8, 8, 8))
    >>> light = light_under(card, published_gamut("BT.709"), WhitePoint(3200.0, 0.0))
    >>> round(light.point.kelvin)  # what looks neutral is what the camera is dialled to
    3200
    """
    white = light_xy(dial.kelvin, dial.duv)
    light = light_of(spot, bradford(gamut.white, white) @ gamut.to_xyz)
    if light is None:
        return None
    mired, duv = cameras_differ(dial, light.point)
    gains = gamut.from_xyz @ xy_to_xyz(white)
    other = None if float(gains.min()) <= 0.0 else light_of(spot, gamut.to_xyz * gains)
    if other is not None:
        mired = max(mired, abs(light.point.mired - other.point.mired))
        duv = max(duv, abs(light.point.duv - other.point.duv))
    # A camera follows its own rule every time: what rules differ by is no noise, and adds as it is.
    return CardLight(light.point, light.mired_pm + mired, light.duv_pm + duv, mired)
