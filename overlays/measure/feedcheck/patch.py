"""A saturated patch: which matrix. Luma of greys says nothing of it.

A patch whose colour is known, lit as the grey card is, tells by how strong and which colour comes
out: 601 read as 709 is some 10 % off on red. A camera's own colours are off by as much
(`PATCH_SHARE`), so that this is seldom certain, and says so. Names that read greys alike read
colours within 2 % (chroma has 896 codes where luma has 876), which no patch tells apart.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from overlays.errors import UnknownPatchError
from overlays.measure.chart.reference import CHART24
from overlays.measure.feedcheck.delivery import Delivery
from overlays.signal.gamut_of_curve import default_gamut
from overlays.signal.gamuts import Gamut
from overlays.signal.levels import FloatArray, decoding
from overlays.signal.signal import Components, Matrix, Signal

PATCH_SHARE = 0.10
"""By how much each of R, G, B of a patch may be off, in shares of the largest, by the camera's own
colours and by the patch (common practice, no source)."""

GREY_REFLECTANCE = 0.18
PATCHES = ("red", "green", "blue", "yellow", "magenta", "cyan")
"""Of the 24-patch colour rendition chart, by its names."""


@dataclass(frozen=True, slots=True)
class SaturatedPatch:
    """Mean codes of a patch's planes, and which patch it is."""

    codes: tuple[float, float, float]
    patch: str = "red"

    def __post_init__(self) -> None:
        """Raise `UnknownPatchError` for a patch of no known colour."""
        if self.patch not in PATCHES:
            raise UnknownPatchError(
                f"unknown patch {self.patch!r}; one of {', '.join(PATCHES)} of the 24-patch chart "
                "is needed"
            )


@dataclass(frozen=True, slots=True)
class Coloured:
    """One name for what arrives with one matrix, against the patch.

    Attributes
    ----------
    delivery, matrix:
        How it is read.
    off_share:
        How far R, G, B are off, the worst of them, in shares of the largest.
    possible:
        Whether the camera's own colours may be off by as much.
    """

    delivery: Delivery
    matrix: Matrix
    off_share: float
    possible: bool


def weigh_patch(
    patch: SaturatedPatch,
    card_light: float,
    deliveries: Sequence[Delivery],
    signal: Signal,
    gamut: Gamut | None = None,
) -> tuple[Coloured, ...]:
    """Every matrix with every name, against the colour that the patch has.

    Parameters
    ----------
    patch:
        What was read of it.
    card_light:
        Linear light that the grey card reads with the same deliveries; it sets the exposure.
    deliveries:
        Names that read greys alike.
    signal:
        Of the feed; R'G'B' has no matrix, and all three then read alike.
    gamut:
        What the camera sends; None takes that published with the curve.

    Returns
    -------
    tuple[Coloured, ...]
        The nearest first.
    """
    out = []
    for each in deliveries:
        wanted = CHART24.linear(gamut or default_gamut(each.curve))
        target = wanted[CHART24.names.index(patch.patch)] * card_light / GREY_REFLECTANCE
        for matrix in Matrix:
            light = _light(patch, each, signal, matrix)
            off = float(np.abs(light - target).max() / np.abs(target).max())
            out.append(Coloured(each, matrix, off, off <= PATCH_SHARE))
    return tuple(sorted(out, key=lambda one: one.off_share))


def _light(patch: SaturatedPatch, of: Delivery, signal: Signal, matrix: Matrix) -> FloatArray:
    read = Signal(signal.bits, of.range, matrix, signal.components, signal.subsampling)
    back = decoding(read)
    return np.asarray(of.carried.light(back.matrix @ (np.array(patch.codes) - back.zero)))


def told_apart(
    patch: str,
    delivery: Delivery,
    matrices: Sequence[Matrix],
    signal: Signal,
    gamut: Gamut | None = None,
) -> float:
    """How far apart a patch reads through the two of some matrices that are nearest on it.

    Parameters
    ----------
    patch:
        One of `PATCHES`.
    delivery, signal:
        How its codes are read otherwise.
    matrices:
        Two or more.
    gamut:
        What the camera sends; None takes that published with the curve.

    Returns
    -------
    float
        The worst of R, G, B, in shares of the largest.
    """
    wanted = CHART24.linear(gamut or default_gamut(delivery.curve))
    light = wanted[CHART24.names.index(patch)]
    values = np.asarray(delivery.carried.nominal(light))
    back = [decoding(Signal(signal.bits, delivery.range, matrix)).matrix for matrix in matrices]
    apart = []
    for sent, read in combinations(back, 2):
        seen = np.asarray(delivery.carried.light(read @ np.linalg.solve(sent, values)))
        apart.append(float(np.abs(seen - light).max() / np.abs(light).max()))
    return min(apart)


def telling_patch(
    delivery: Delivery, matrices: Sequence[Matrix], signal: Signal, gamut: Gamut | None = None
) -> tuple[str, float]:
    """The patch that tells matrices farthest apart.

    Parameters
    ----------
    delivery, signal:
        How its codes are read otherwise.
    matrices:
        Two or more.
    gamut:
        What the camera sends; None takes that published with the curve.

    Returns
    -------
    tuple[str, float]
        Its name, and how far, in shares of the largest of R, G, B.
    """
    far = {each: told_apart(each, delivery, matrices, signal, gamut) for each in PATCHES}
    best = max(far, key=lambda each: far[each])
    return best, far[best]


def matrix_of(coloured: Sequence[Coloured], signal: Signal) -> Matrix | None:
    """The one matrix that is possible; None where more are, none is, or the feed has none.

    Parameters
    ----------
    coloured, signal:
        What `weigh_patch` gave, and of which signal.

    Returns
    -------
    Matrix | None
        That of the feed.
    """
    possible = {each.matrix for each in coloured if each.possible}
    if len(possible) != 1 or signal.components is Components.RGB:
        return None
    return possible.pop()
