"""The bench's light: what a camera balanced for one kelvin makes of a light of another.

The light lies on the Planckian locus at its correlated colour temperature and `tint` thousandths of
Duv off it (positive is greener), so that kelvin and tint are exactly what a colour meter would say.
"""

import numpy as np
import numpy.typing as npt

from overlays.measure.colour.cielab import bradford
from overlays.signal.gamuts import Gamut, published_gamut

FloatArray = npt.NDArray[np.float64]

LOWEST_KELVIN, HIGHEST_KELVIN = 2000.0, 12000.0
"""Within the fit, and within the BT.709 primaries, where no component of a light is negative."""

BRADFORD = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
"""XYZ to cone responses; Lam (1985), as printed in ICC.1:2022 Annex E."""

XYZ_TO_BT709 = np.linalg.inv(
    np.array(
        [
            [0.412390799265960, 0.357584339383878, 0.180480788401834],
            [0.212639005871510, 0.715168678767756, 0.072192315360734],
            [0.019330818715592, 0.119194779794626, 0.950532152249661],
        ]
    )
)
"""CIE 1931 XYZ to linear R, G, B; primaries and D65 of ITU-R BT.709-6 items 1.3 and 1.4."""


def locus_uv(kelvin: float) -> tuple[float, float]:
    """CIE 1960 u, v of a black body, 1000 to 15000 K.

    Krystek (1985), "An algorithm to calculate correlated colour temperature", Color Research and
    Application 10(1), 38-40; within 0.00014 of Planck's law with the CIE 1931 observer.
    """
    t = kelvin
    u = (0.860117757 + 1.54118254e-4 * t + 1.28641212e-7 * t * t) / (
        1.0 + 8.42420235e-4 * t + 7.08145163e-7 * t * t
    )
    v = (0.317398726 + 4.22806245e-5 * t + 4.20481691e-8 * t * t) / (
        1.0 - 2.89741816e-5 * t + 1.61456053e-7 * t * t
    )
    return u, v


def light_uv(kelvin: float, tint_thousandths: float) -> tuple[float, float]:
    """CIE 1960 u, v of a light `tint_thousandths` of Duv off the locus, at right angles to it."""
    u, v = locus_uv(kelvin)
    before, after = locus_uv(kelvin - 1.0), locus_uv(kelvin + 1.0)
    along_u, along_v = after[0] - before[0], after[1] - before[1]
    length = float(np.hypot(along_u, along_v))
    # The locus runs to smaller u with rising kelvin; its left-hand normal would point to magenta.
    duv = tint_thousandths / 1000.0
    return u + duv * along_v / length, v - duv * along_u / length


def white_rgb(kelvin: float, tint_thousandths: float = 0.0) -> FloatArray:
    """Linear BT.709 R, G, B of a light of luminance 1, (3,)."""
    u, v = light_uv(kelvin, tint_thousandths)
    below = 2.0 * u - 8.0 * v + 4.0
    x, y = 3.0 * u / below, 2.0 * v / below
    return np.asarray(XYZ_TO_BT709 @ np.array([x / y, 1.0, (1.0 - x - y) / y]), dtype=np.float64)


def camera_matrix(
    kelvin: float, tint_thousandths: float, dial_kelvin: float, dial_tint_thousandths: float = 0.0
) -> FloatArray:
    """(3, 3): linear BT.709 R, G, B of things under D65 to what the camera makes of the light.

    The camera is dialled to a white, the light is another: von Kries' rule on the Bradford cone
    responses (Lam 1985), as a camera would that divides the responses of a real sensor. A neutral
    stays neutral where dial and light agree.
    """
    light, dial = (
        BRADFORD @ np.linalg.solve(XYZ_TO_BT709, white_rgb(k, t))
        for k, t in ((kelvin, tint_thousandths), (dial_kelvin, dial_tint_thousandths))
    )
    to_cones = BRADFORD @ np.linalg.inv(XYZ_TO_BT709)
    return np.asarray(
        np.linalg.solve(to_cones, (light / dial)[:, None] * to_cones), dtype=np.float64
    )


def camera_gains(
    kelvin: float, tint_thousandths: float, dial_kelvin: float, dial_tint_thousandths: float = 0.0
) -> FloatArray:
    """What a neutral of 1 becomes in linear R, G, B, (3,): all 1 where dial and light agree."""
    matrix = camera_matrix(kelvin, tint_thousandths, dial_kelvin, dial_tint_thousandths)
    return np.asarray(matrix.sum(axis=1), dtype=np.float64)


def gamut_matrix(gamut: Gamut) -> FloatArray:
    """(3, 3): linear BT.709 R, G, B to those of a gamut, white to white."""
    home = published_gamut("BT.709")
    if gamut == home:
        return np.eye(3)
    adapt = bradford(home.white, gamut.white)
    return np.asarray(gamut.from_xyz @ adapt @ home.to_xyz, dtype=np.float64)
