"""Cameras by measured spectral sensitivities: what one sends of a light, dialled to another.

The sensitivities, the reflectances of patches and the observer are those that colour-science 0.4.7
carries (cameras: Darrodi et al. 2015, and the resources of rawtoaces); none of our arithmetic is
in what a camera sends.
"""

from functools import cache
from pathlib import Path

import colour
import numpy as np

NM = np.arange(400.0, 701.0, 10.0)
CHART_PATCHES = 24
D65 = colour.xy_to_XYZ((0.3127, 0.3290))


def _at(nm, values):
    return np.array([np.interp(NM, nm, column, 0.0, 0.0) for column in np.transpose(values)]).T


@cache
def sensitivities():
    """(31, 3) of each camera."""
    found = [_at(c.wavelengths, c.values) for c in colour.MSDS_CAMERA_SENSITIVITIES.values()]
    (path,) = Path(colour.__file__).parent.rglob("rawtoaces/*_RGB_Sensitivities.csv")
    table = np.genfromtxt(path, delimiter=",", skip_header=1)
    return [*found, _at(table[:, 0], table[:, 1:4])]


@cache
def observer():
    """(31, 3) colour-matching functions, CIE 1931."""
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    return _at(cmfs.wavelengths, cmfs.values)


@cache
def reflectances():
    """(patches, 31) of three charts."""
    # Each once: the library's second names for the same have an underscore.
    named = colour.SDS_COLOURCHECKERS.items()
    sets = [
        each.values()
        for name, each in sorted(named, reverse=True)
        if len(each) == CHART_PATCHES and "_" not in name
    ]
    assert len(sets) == 3
    return np.array([np.interp(NM, sd.wavelengths, sd.values) for each in sets for sd in each])


def black_body(kelvin):
    """(31,) relative spectral power."""
    return colour.colorimetry.planck_law(NM * 1e-9, kelvin) / 1e13


def daylight(kelvin):
    """(31,) CIE daylight of a temperature from 4500 K, black body below."""
    if kelvin < 4500.0:
        return black_body(kelvin)
    xy = colour.temperature.CCT_to_xy_CIE_D(kelvin * 1.4388 / 1.4380)
    sd = colour.sd_CIE_illuminant_D_series(xy)
    return np.interp(NM, sd.wavelengths, sd.values)


def matrix(camera, light):
    """(3, 3) balanced camera R, G, B to linear BT.709: least squares on patches, neutral kept."""
    raw = (reflectances() * light) @ camera / (light @ camera)
    white = light @ observer()
    xyz = (reflectances() * light) @ observer() / white[1]
    xyz = colour.adaptation.chromatic_adaptation_VonKries(xyz, white / white[1], D65, "Bradford")
    wanted = xyz @ colour.RGB_COLOURSPACES["ITU-R BT.709"].matrix_XYZ_to_RGB.T
    sides = np.stack([raw[:, 0] - raw[:, 1], raw[:, 2] - raw[:, 1]], axis=1)
    out = []
    for channel in range(3):
        (red, blue), *_ = np.linalg.lstsq(sides, wanted[:, channel] - raw[:, 1], rcond=None)
        out.append([red, 1.0 - red - blue, blue])
    return np.array(out)


def sent(camera, light, dialled, fitted):
    """Linear BT.709 that a camera sends of a neutral under a light, dialled to another.

    `fitted` is the light its matrix was fitted at.
    """
    return matrix(camera, fitted) @ ((light @ camera) / (dialled @ camera))
