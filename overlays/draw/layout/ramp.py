"""How the colours of the stop map are chosen: one a stop, by CIELAB alone.

- The middle is a grey of the lightness that mid-grey has on a screen.
- Lightness rises by equal steps of CIEDE2000 from the darkest to the middle and from there to the
  lightest: more light is never shown darker, and the steps are even in greyscale too.
- Below the middle colours are cool, above it warm (CIELAB b* below and above zero), so that a
  person sees at a glance on which side of mid-grey something lies.
- Hue turns evenly from the middle to either end, so that a stop is told by its hue as well as by
  its lightness; each colour has the same share of the chroma that a screen can show there.
- Where hue begins and ends is searched: those are taken at which the two neighbours that are
  nearest to each other are as far apart as can be, by CIEDE2000, for normal sight and as simulated
  for three deficiencies.

Neither hue nor order is taken from anywhere else. A test derives them again.
"""

from functools import cache
from itertools import product

import numpy as np
import numpy.typing as npt

from overlays.draw.layout.palette import SIGHTS, Colour, FloatArray, linear_rgb
from overlays.measure.colour.cielab import ciede2000, lab_to_xyz, xyz_to_lab
from overlays.signal.gamuts import published_gamut

GREYSCALE = np.tile(np.array((0.2126, 0.7152, 0.0722)), (3, 1))
"""What is left without colour: the luminance of linear sRGB (ITU-R BT.709-6, item 3.2)."""

MIDDLE: Colour = (118, 118, 118)
"""The grey of 18 % of the light of white, L* 49.5 (IEC 61966-2-1)."""

DARKEST, LIGHTEST = 10.0, 95.0
"""L* of the ends: black and white themselves are left to what is lost and what is clipped."""

SHARE = 0.6
"""Of the largest chroma of a hue and lightness: the same everywhere, and no colour shouts."""

COOL, WARM = range(225, 316, 5), range(45, 136, 5)
"""Hue angles in degrees that are searched: an eighth of the circle to both sides of blue, at 270,
and of yellow, at 90. Of these two people with either of the common deficiencies see the hue."""

DISTINCT = 1.0
"""Chroma is looked for in steps of so much."""


def seen_lab(colours: npt.NDArray[np.int64], matrix: FloatArray) -> FloatArray:
    """CIELAB of 8-bit sRGB colours as seen through a matrix of linear light, (n, 3)."""
    gamut = published_gamut("BT.709")
    seen = np.clip(linear_rgb(colours) @ matrix.T, 0.0, 1.0)
    return xyz_to_lab(seen @ gamut.to_xyz.T, gamut.white)


def steps_apart(ramp: list[Colour], matrix: FloatArray) -> FloatArray:
    """CIEDE2000 from each colour to the next as seen through a matrix, (n - 1,)."""
    lab = seen_lab(np.array(ramp, np.int64), matrix)
    return ciede2000(lab[:-1], lab[1:])


def derive_ramp(below: int, above: int) -> list[Colour]:
    """So many colours below and above the middle, from the darkest to the lightest."""
    middle = float(seen_lab(np.array([MIDDLE], np.int64), np.eye(3))[0, 0])
    dark = _lightness(DARKEST, middle, below)[:-1]
    light = _lightness(middle, LIGHTEST, above)[1:]
    cool = _best(dark[::-1], COOL)
    return [*cool[::-1], MIDDLE, *_best(light, WARM)]


def _lightness(low: float, high: float, steps: int) -> FloatArray:
    """L* from low to high in steps that are equal by CIEDE2000, both ends among them."""
    fine = np.linspace(low, high, 2001)
    grey = np.stack([fine, np.zeros_like(fine), np.zeros_like(fine)], axis=-1)
    way = np.concatenate([[0.0], np.cumsum(ciede2000(grey[:-1], grey[1:]))])
    return np.interp(np.linspace(0.0, way[-1], steps + 1), way, fine)


def _best(lightness: FloatArray, hues: range) -> list[Colour]:
    """Away from the middle: the ramp whose nearest neighbours are farthest apart."""

    def worst(ends: tuple[int, int]) -> float:
        ramp = [MIDDLE, *_ramp(lightness, *ends)]
        return min(float(steps_apart(ramp, matrix).min()) for matrix in SIGHTS.values())

    return _ramp(lightness, *max(product(hues, hues), key=worst))


def _ramp(lightness: FloatArray, first: int, last: int) -> list[Colour]:
    hues = np.linspace(first, last, len(lightness))
    return [_colour(float(one), float(hue)) for one, hue in zip(lightness, hues, strict=True)]


@cache
def _colour(lightness: float, hue: float) -> Colour:
    """The colour of a lightness and a hue in degrees with its share of chroma."""
    gamut = published_gamut("BT.709")
    chroma = np.arange(0.0, 140.0, DISTINCT)
    angle = np.radians(hue)
    lab = np.stack(
        [np.full_like(chroma, lightness), chroma * np.cos(angle), chroma * np.sin(angle)], axis=-1
    )
    linear = lab_to_xyz(lab, gamut.white) @ np.linalg.inv(gamut.to_xyz).T
    inside = ((linear >= 0.0) & (linear <= 1.0)).all(axis=1)
    most = int(np.argmin(inside)) - 1 if not inside.all() else len(chroma) - 1
    at = linear[max(round(most * SHARE), 0)]
    encoded = np.where(
        at <= 0.0031308, 12.92 * at, 1.055 * np.maximum(at, 0.0) ** (1 / 2.4) - 0.055
    )
    red, green, blue = np.rint(np.clip(encoded, 0.0, 1.0) * 255.0).astype(int).tolist()
    return red, green, blue
