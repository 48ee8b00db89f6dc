"""Saturated patches: which matrix. Luma of greys says nothing of it.

A patch whose colour is known, lit as the grey card is, tells by how strong and which colour comes
out: 601 read as 709 is some 10 % off on red. A camera's own colours are off by as much
(`COLOUR_SHARE`), so that one patch is seldom certain, and says so. Each patch more may rule out a
matrix that the others leave: one is possible only where every patch allows it. Names that read
greys alike read colours within 2 % (chroma has 896 codes where luma has 876), which no patch tells.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from overlays.errors import UnknownPatchError
from overlays.measure.chart.reference import CHART24, ChartReference
from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.tolerances import COLOUR_SHARE
from overlays.measure.spot.rounding import Z95
from overlays.measure.spot.spot import SpotReading
from overlays.signal.curves import stops_to_linear
from overlays.signal.gamut_of_curve import default_gamut
from overlays.signal.gamuts import Gamut, published_gamut
from overlays.signal.levels import FloatArray, decoding
from overlays.signal.signal import Components, Matrix, Signal

GREY_REFLECTANCE = 0.18
PATCHES = ("red", "green", "blue", "yellow", "magenta", "cyan")
"""Of the 24-patch colour rendition chart, by its names: those that are asked for one by one."""

SATURATED = 0.75
"""Of the largest of R, G, B (BT.709) that the smallest is less, from which on a patch of a whole
chart is looked at: paler ones tell little of a matrix."""


@dataclass(frozen=True, slots=True)
class SaturatedPatch:
    """Mean codes of a patch's planes, which patch of which chart, and their 95 % half widths.

    Examples
    --------
    >>> SaturatedPatch((277.0, 475.0, 754.0), patch="red").patch
    'red'
    >>> SaturatedPatch((277.0, 475.0, 754.0), patch="mauve")
    Traceback (most recent call last):
        ...
    overlays.errors.UnknownPatchError: unknown patch 'mauve'; one of red,...
    """

    codes: tuple[float, float, float]
    patch: str = "red"
    codes_pm: tuple[float, float, float] = (0.0, 0.0, 0.0)
    chart: ChartReference = CHART24

    def __post_init__(self) -> None:
        """Raise `UnknownPatchError` for a patch of no known colour."""
        if self.patch not in self.chart.names:
            raise UnknownPatchError(
                f"unknown patch {self.patch!r}; one of {', '.join(PATCHES)} of the 24-patch chart "
                "is needed"
            )


@dataclass(frozen=True, slots=True)
class Coloured:
    """One name for what arrives with one matrix, against the patches.

    Attributes
    ----------
    delivery, matrix:
        How it is read.
    off_share:
        How far R, G, B are off, the worst of them on the worst patch, in shares of the largest.
    worst:
        That patch.
    possible:
        Whether the camera's own colours may be off by as much, on every patch.
    """

    delivery: Delivery
    matrix: Matrix
    off_share: float
    worst: str
    possible: bool


def saturated(chart: ChartReference) -> tuple[str, ...]:
    """The patches of a chart that tell matrices apart.

    Parameters
    ----------
    chart:
        Any.

    Returns
    -------
    tuple[str, ...]
        Their names, in reading order.

    Examples
    --------
    >>> len(saturated(CHART24)), saturated(CHART24)[-3:]
    (12, ('yellow', 'magenta', 'cyan'))
    """
    light = chart.linear(published_gamut("BT.709"))
    share = 1.0 - light.min(axis=1) / light.max(axis=1)
    return tuple(name for name, far in zip(chart.names, share, strict=True) if far >= SATURATED)


def patch_of(spot: SpotReading, name: str, chart: ChartReference = CHART24) -> SaturatedPatch:
    """What a spot says of a patch.

    Parameters
    ----------
    spot, name, chart:
        Of which patch of which chart.

    Returns
    -------
    SaturatedPatch
        In codes of the signal.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import colour_frame
    >>> frame = colour_frame([[(67, 12, 17)]], cell=16)
    >>> patch = patch_of(read_spot(frame, VIDEO, SpotPlace(8, 8, 8)), "red")
    >>> patch.codes, patch.codes_pm  # half a code either way: it is perfectly flat
    ((275.0, 478.0, 756.0), (0.5, 0.5, 0.5))
    """
    one, two, three = (Z95 * plane.standard + plane.rounding for plane in spot.errors.planes)
    return SaturatedPatch(spot.code, name, (one, two, three), chart)


def weigh_patches(
    patches: Sequence[SaturatedPatch],
    card_code: float,
    deliveries: Sequence[Delivery],
    signal: Signal,
    gamut: Gamut | None = None,
    within: float = COLOUR_SHARE,
) -> tuple[Coloured, ...]:
    """Every matrix with every name, against the colours that the patches have.

    Parameters
    ----------
    patches:
        What was read of them, at least one.
    card_code:
        Luma of the grey card, which sets the exposure.
    deliveries:
        Names that the greys leave possible.
    signal:
        Of the feed; R'G'B' has no matrix, and all three then read alike.
    gamut:
        What the camera sends; None takes that published with the curve.
    within:
        By how much R, G, B of a patch may be off, in shares of the largest.

    Returns
    -------
    tuple[Coloured, ...]
        The nearest first; a matrix with a name is possible where every patch allows it.

    Examples
    --------
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> from overlays.signal.signal import Range
    >>> video = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
    >>> red = SaturatedPatch((277.0, 475.0, 754.0), patch="red")  # as BT.709 has it, to a code
    >>> found = weigh_patches([red], 422.0, [video], Signal(bits=10))
    >>> [(each.matrix.value, each.possible) for each in found]
    [('BT.709', True), ('BT.2020', True), ('BT.601', False)]
    """
    out = []
    for each in deliveries:
        exposure = stops_to_linear(each.stops(card_code, signal.bits)) / GREY_REFLECTANCE
        sent = gamut or default_gamut(each.curve)
        # What no code carries is not held against it: below no light R, G and B are cut off.
        lights = [exposure * np.maximum(_colour(patch, sent), 0.0) for patch in patches]
        for matrix in Matrix:
            read = Signal(signal.bits, each.range, matrix, signal.components, signal.subsampling)
            off = [_off(*both, each, read) for both in zip(patches, lights, strict=True)]
            farthest = max(range(len(off)), key=lambda n: off[n][0])
            possible = all(far <= within + unsure for far, unsure in off)
            worst = patches[farthest].patch
            out.append(Coloured(each, matrix, off[farthest][0], worst, possible))
    return nearest_first(out)


def nearest_first(coloured: Iterable[Coloured]) -> tuple[Coloured, ...]:
    """What is possible before what is not, the nearest first.

    Parameters
    ----------
    coloured:
        In any order.

    Returns
    -------
    tuple[Coloured, ...]
        As many.

    Examples
    --------
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> from overlays.signal.signal import Range
    >>> video = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
    >>> near = Coloured(video, Matrix.BT601, off_share=0.2, worst="red", possible=False)
    >>> far = Coloured(video, Matrix.BT709, off_share=0.5, worst="red", possible=True)
    >>> [each.matrix.value for each in nearest_first([near, far])]  # what is possible comes first
    ['BT.709', 'BT.601']
    """
    return tuple(sorted(coloured, key=lambda one: (not one.possible, one.off_share)))


def _colour(patch: SaturatedPatch, gamut: Gamut) -> FloatArray:
    return np.asarray(patch.chart.linear(gamut)[patch.chart.names.index(patch.patch)])


def _off(
    patch: SaturatedPatch, wanted: FloatArray, of: Delivery, signal: Signal
) -> tuple[float, float]:
    """How far a patch is off, and how much of that its ± may be, in shares of the largest."""
    back, codes = decoding(signal), np.array(patch.codes)
    each = np.vstack([codes, codes + np.diag(patch.codes_pm)])
    light, *moved = np.asarray(of.carried.light((each - back.zero) @ back.matrix.T))
    unsure, largest = np.abs(np.array(moved) - light).sum(axis=0), float(wanted.max())
    off = np.abs(np.maximum(light, 0.0) - wanted).max()
    return float(off) / largest, float(unsure.max()) / largest


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

    Examples
    --------
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> from overlays.signal.signal import Range
    >>> video = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
    >>> matrices = (Matrix.BT709, Matrix.BT601)
    >>> red, blue = (told_apart(each, video, matrices, Signal(10)) for each in ("red", "blue"))
    >>> red > blue
    True
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
    delivery: Delivery,
    matrices: Sequence[Matrix],
    signal: Signal,
    read: Collection[str] = (),
    gamut: Gamut | None = None,
) -> tuple[str, float] | None:
    """The patch, of those that were not read yet, that tells two of some matrices farthest apart.

    Parameters
    ----------
    delivery, signal:
        How its codes are read otherwise.
    matrices:
        Two or more.
    read:
        Patches that were read.
    gamut:
        What the camera sends; None takes that published with the curve.

    Returns
    -------
    tuple[str, float] | None
        Its name, and how far, in shares of the largest of R, G, B; None where all were read.

    Examples
    --------
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> from overlays.signal.signal import Range
    >>> video = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
    >>> telling_patch(video, (Matrix.BT709, Matrix.BT601), Signal(bits=10))[0]
    'green'
    >>> telling_patch(video, (Matrix.BT709, Matrix.BT601), Signal(bits=10), read=PATCHES) is None
    True
    """
    pairs = list(combinations(matrices, 2))
    far = {
        each: max(told_apart(each, delivery, pair, signal, gamut) for pair in pairs)
        for each in PATCHES
        if each not in read
    }
    if not far:
        return None
    best = max(far, key=lambda each: far[each])
    return best, far[best]


def matrix_of(coloured: Sequence[Coloured], signal: Signal) -> Matrix | None:
    """The one matrix that is possible; None where more are, none is, or the feed has none.

    Parameters
    ----------
    coloured, signal:
        What `weigh_patches` gave, and of which signal.

    Returns
    -------
    Matrix | None
        That of the feed.

    Examples
    --------
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> from overlays.signal.signal import Range
    >>> video = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
    >>> one = Coloured(video, Matrix.BT709, off_share=0.01, worst="red", possible=True)
    >>> matrix_of([one], Signal(bits=10)).value, matrix_of([], Signal(bits=10))
    ('BT.709', None)
    """
    possible = {each.matrix for each in coloured if each.possible}
    if len(possible) != 1 or signal.components is Components.RGB:
        return None
    return possible.pop()
