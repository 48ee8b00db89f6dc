"""How the colours of the screen are chosen, and the figures they were chosen by.

`derive` searches all colours of a 6-step grid of sRGB for the set whose two nearest members are
farthest apart, seen by people with normal sight and as simulated for protanopia, deuteranopia and
tritanopia. The result stands in `overlays.draw.layout.theme`; a test derives it again.
"""

from collections.abc import Sequence
from itertools import product

import numpy as np
import numpy.typing as npt

from overlays.measure.colour.cielab import ciede2000, xyz_to_lab
from overlays.signal.gamuts import published_gamut

FloatArray = npt.NDArray[np.float64]
Colour = tuple[int, int, int]

STEPS = (0, 51, 102, 153, 204, 255)

SIGHTS: dict[str, FloatArray] = {
    "normal": np.eye(3),
    "protanopia": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deuteranopia": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "tritanopia": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}
"""Linear sRGB as seen, severity 1.0.

Machado, Oliveira and Fernandes, "A Physiologically-based Model for Simulation of Color Vision
Deficiency", IEEE TVCG 15(6), 2009, the authors' tables; tritanopia is their approximation.
"""


def linear_rgb(colours: Sequence[Colour] | npt.NDArray[np.int64]) -> FloatArray:
    """Linear light of 8-bit sRGB colours, (n, 3) (IEC 61966-2-1)."""
    value = np.asarray(colours, np.float64) / 255.0
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def contrast_ratio(one: Colour, other: Colour) -> float:
    """Contrast of two colours, 1 to 21 (W3C, WCAG 2.2, "contrast ratio", "relative luminance")."""
    y = np.sort(linear_rgb([one, other]) @ np.array([0.2126, 0.7152, 0.0722]))
    return float((y[1] + 0.05) / (y[0] + 0.05))


def lifted(colour: Colour, ground: Colour, contrast: float) -> Colour:
    """A colour for words: the same hue, as light as words of it need to be.

    Parameters
    ----------
    colour:
        Of marks; not black.
    ground:
        What words stand on; darker than `colour`.
    contrast:
        Least contrast ratio, at most that of white on the ground.

    Returns
    -------
    Colour
        The first that reaches the ratio on the way, in even steps of linear light, to the strongest
        colour of its chromaticity and then to white.

    Raises
    ------
    ValueError
        Not even white has that contrast.
    """
    light = linear_rgb([colour])[0]
    strongest = light / light.max()
    for start, end in ((light, strongest), (strongest, np.ones(3))):
        for step in range(257):
            mixed = start + (end - start) * step / 256.0
            coded = np.where(
                mixed <= 0.0031308, 12.92 * mixed, 1.055 * mixed ** (1.0 / 2.4) - 0.055
            )
            red, green, blue = (int(value) for value in np.rint(255.0 * coded))
            if contrast_ratio((red, green, blue), ground) >= contrast:
                return red, green, blue
    raise ValueError(f"no words on {ground} have a contrast of {contrast}")


def differences(colours: Sequence[Colour]) -> FloatArray:
    """Smallest CIEDE2000 difference over all four sights of each pair of colours, (n, n)."""
    gamut = published_gamut("BT.709")
    least = np.full((len(colours), len(colours)), np.inf)
    for seen_by in SIGHTS.values():
        seen = np.clip(linear_rgb(colours) @ seen_by.T, 0.0, 1.0)
        lab = xyz_to_lab(seen @ gamut.to_xyz.T, gamut.white)
        least = np.minimum(least, ciede2000(lab[:, None, :], lab[None, :, :]))
    return least


def derive(fixed: Sequence[Colour], ground: Colour, count: int, contrast: float) -> list[Colour]:
    """`count` colours, as far from each other and from the `fixed` ones as the search finds.

    Parameters
    ----------
    fixed:
        Colours that are in the set whatever happens (text).
    ground:
        What all stand on.
    count:
        How many to find.
    contrast:
        Least contrast ratio on the ground.

    Returns
    -------
    From red round the hues, by CIE hue angle in normal sight. The search starts from each
    candidate, adds the farthest again and again, then exchanges single colours while that helps.
    """
    every_step = list(product(STEPS, STEPS, STEPS))
    grid = [colour for colour in every_step if contrast_ratio(colour, ground) >= contrast]
    every = [*fixed, *grid]
    apart = differences(every)
    kept = list(range(len(fixed)))
    best: tuple[float, list[int]] = (-1.0, [])
    for start in range(len(fixed), len(every)):
        chosen = _exchanged(apart, kept, _grown(apart, kept, start, count))
        worst = _least(apart, kept + chosen)
        if worst > best[0]:
            best = (worst, chosen)
    gamut = published_gamut("BT.709")
    found = [every[index] for index in best[1]]
    lab = xyz_to_lab(linear_rgb(found) @ gamut.to_xyz.T, gamut.white)
    hue = np.arctan2(lab[:, 2], lab[:, 1]) % (2.0 * np.pi)
    return [found[index] for index in np.argsort(hue)]


def _least(apart: FloatArray, chosen: list[int]) -> float:
    part = apart[np.ix_(chosen, chosen)]
    return float(part[~np.eye(len(chosen), dtype=bool)].min())


def _grown(apart: FloatArray, kept: list[int], start: int, count: int) -> list[int]:
    chosen = [start]
    while len(chosen) < count:
        nearest = apart[:, kept + chosen].min(axis=1)
        chosen.append(int(nearest.argmax()))
    return chosen


def _exchanged(apart: FloatArray, kept: list[int], chosen: list[int]) -> list[int]:
    better = True
    while better:
        better = False
        for place in range(len(chosen)):
            rest = kept + chosen[:place] + chosen[place + 1 :]
            candidate = int(apart[:, rest].min(axis=1).argmax())
            trial = [*chosen[:place], candidate, *chosen[place + 1 :]]
            if _least(apart, kept + trial) > _least(apart, kept + chosen) + 1e-9:
                chosen, better = trial, True
    return chosen
