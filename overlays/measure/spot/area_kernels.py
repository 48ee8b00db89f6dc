"""The loop over the light of a spot. Private, unchecked."""

from typing import Any, NamedTuple

import numba as nb
import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


class SpotSums(NamedTuple):
    """What `spot_light` adds up over the pixels of a spot.

    Attributes
    ----------
    light, slope, bend:
        (3,) linear R, G, B; their derivatives by the nominal level; their second derivatives.
    slope_products:
        (3, 3) products of those derivatives, channel by channel.
    stored:
        (3,) stored samples of the planes.
    clipped:
        (3,) pixels clipped in R', G', B'.
    any_clipped, below_floor:
        (1,) pixels clipped in any of them, and with luma below the floor.
    """

    light: FloatArray
    slope: FloatArray
    bend: FloatArray
    slope_products: FloatArray
    stored: FloatArray
    clipped: FloatArray
    any_clipped: FloatArray
    below_floor: FloatArray


def no_sums() -> SpotSums:
    """Sums to start from.

    Examples
    --------
    >>> no_sums().light.tolist(), no_sums().any_clipped.tolist()
    ([0.0, 0.0, 0.0], [0.0])
    """
    three = [np.zeros(3) for _ in range(5)]
    return SpotSums(
        light=three[0],
        slope=three[1],
        bend=three[2],
        slope_products=np.zeros((3, 3)),
        stored=three[3],
        clipped=three[4],
        any_clipped=np.zeros(1),
        below_floor=np.zeros(1),
    )


_BEND = 8
"""Nodes of the light table to each side over which its curvature is taken: two 10-bit codes."""


@nb.njit(cache=True, nogil=True)
def spot_light(
    planes: tuple[Any, Any, Any],
    area: tuple[int, int, int, int, int, int],
    decoding: tuple[FloatArray, FloatArray],
    table: tuple[float, float, FloatArray],
    limits: tuple[FloatArray, float, float, float, float],
    out: SpotSums,
) -> None:
    """Sums over a rectangle of pixels in linear light, for `read_spot`.

    Parameters
    ----------
    planes:
        The frame's three.
    area:
        First row, rows, first column, columns, luma rows and columns per chroma sample.
    decoding:
        (3, 3) float64 matrix from stored samples to nominal R', G', B', and their (3,) zero.
    table:
        Lowest nominal level of the light table, the step of its nodes, and linear light at them.
    limits:
        (3,) clips of R', G', B' and the floor, nominal; Kr, Kg, Kb.
    out:
        From `no_sums`; added to.
    """
    matrix, zero = decoding
    low, step, nodes = table
    last = nodes.size - 2
    row0, rows, column0, columns, sub_rows, sub_columns = area
    clips, floor, weights = limits[0], limits[1], limits[2:]
    slope = np.zeros(3)
    for r in range(row0, row0 + rows):
        for c in range(column0, column0 + columns):
            s0 = float(planes[0].buffer[r * planes[0].row + c * planes[0].column])
            rc, cc = r // sub_rows, c // sub_columns
            s1 = float(planes[1].buffer[rc * planes[1].row + cc * planes[1].column])
            s2 = float(planes[2].buffer[rc * planes[2].row + cc * planes[2].column])
            is_clipped = 0.0
            luma = 0.0
            for k in range(3):
                nominal = (
                    matrix[k, 0] * (s0 - zero[0])
                    + matrix[k, 1] * (s1 - zero[1])
                    + matrix[k, 2] * (s2 - zero[2])
                )
                luma += weights[k] * nominal
                place = (nominal - low) / step
                i = min(max(int(place), 0), last)
                slope[k] = (nodes[i + 1] - nodes[i]) / step
                out.light[k] += nodes[i] + (nodes[i + 1] - nodes[i]) * (place - i)
                out.slope[k] += slope[k]
                i = min(max(i, _BEND), last - _BEND)
                bend = nodes[i + _BEND] - 2.0 * nodes[i] + nodes[i - _BEND]
                out.bend[k] += bend / (_BEND * step) ** 2
                if nominal >= clips[k]:
                    out.clipped[k] += 1.0
                    is_clipped = 1.0
            for k in range(3):
                for other in range(3):
                    out.slope_products[k, other] += slope[k] * slope[other]
            out.any_clipped[0] += is_clipped
            if luma < floor:
                out.below_floor[0] += 1.0
            out.stored[0] += s0
            out.stored[1] += s1
            out.stored[2] += s2
