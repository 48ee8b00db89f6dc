"""The loop over the light of a spot. Private, unchecked."""

from typing import Any, NamedTuple

import numba as nb
import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


class SpotSums(NamedTuple):
    """What `spot_light` adds up over the pixels of a spot, and divides by their number.

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
def _decode_row(
    planes: tuple[Any, Any, Any],
    place: tuple[int, int, int, int],
    decoding: tuple[FloatArray, FloatArray],
    nominal: FloatArray,
    stored: FloatArray,
) -> None:
    """Nominal R', G', B' of a row; `place` is its number, first column, rows and columns shared."""
    matrix, zero = decoding
    row, column0, sub_rows, sub_columns = place
    shared = row // sub_rows
    at0, at1, at2 = row * planes[0].row, shared * planes[1].row, shared * planes[2].row
    sum0, sum1, sum2 = 0.0, 0.0, 0.0
    halved = sub_columns - 1  # of one or two: a shift takes a tenth of a division
    for j in range(nominal.shape[1]):
        c = column0 + j
        s0 = float(planes[0].buffer[at0 + c * planes[0].column])
        s1 = float(planes[1].buffer[at1 + (c >> halved) * planes[1].column])
        s2 = float(planes[2].buffer[at2 + (c >> halved) * planes[2].column])
        d0, d1, d2 = s0 - zero[0], s1 - zero[1], s2 - zero[2]
        for k in range(3):
            nominal[k, j] = matrix[k, 0] * d0 + matrix[k, 1] * d1 + matrix[k, 2] * d2
        sum0 += s0
        sum1 += s1
        sum2 += s2
    stored[0] += sum0
    stored[1] += sum1
    stored[2] += sum2


@nb.njit(cache=True, nogil=True)
def _add_channel(
    nominal: FloatArray,
    table: tuple[float, float, FloatArray],
    slopes: FloatArray,
    so_far: tuple[float, float, float],
) -> tuple[float, float, float]:
    """Sums of light, slope and bend `so_far` and over a row of one channel; writes its `slopes`.

    Sums stay in registers, and are added up in the order of the pixels all the same.
    """
    low, step, nodes = table
    last = nodes.size - 2
    # A power of two: multiplying by its inverse is as exact as dividing by it.
    steep, bent = 1.0 / step, 1.0 / (_BEND * step) ** 2
    light, slope, bend = so_far
    for j in range(nominal.size):
        place = (nominal[j] - low) * steep
        i = min(max(int(place), 0), last)
        rise = nodes[i + 1] - nodes[i]
        slopes[j] = rise * steep
        light += nodes[i] + rise * (place - i)
        slope += slopes[j]
        i = min(max(i, _BEND), last - _BEND)
        bend += (nodes[i + _BEND] - 2.0 * nodes[i] + nodes[i - _BEND]) * bent
    return light, slope, bend


@nb.njit(cache=True, nogil=True)
def _add_products(slopes: FloatArray, out: FloatArray) -> None:
    """Products of a row's slopes, channel by channel: six sums that wait for each other's turn."""
    rr, gr, br = out[0, 0], out[1, 0], out[2, 0]
    gg, bg, bb = out[1, 1], out[2, 1], out[2, 2]
    for j in range(slopes.shape[1]):
        red, green, blue = slopes[0, j], slopes[1, j], slopes[2, j]
        rr += red * red
        gr += green * red
        br += blue * red
        gg += green * green
        bg += blue * green
        bb += blue * blue
    out[0, 0], out[1, 0], out[2, 0] = rr, gr, br
    out[0, 1], out[1, 1], out[2, 1] = gr, gg, bg
    out[0, 2], out[1, 2], out[2, 2] = br, bg, bb


@nb.njit(cache=True, nogil=True)
def _count(
    nominal: FloatArray, limits: tuple[FloatArray, float, float, float, float], out: SpotSums
) -> None:
    """Pixels of a row that are clipped, in each channel and in any, and those below the floor."""
    clips, floor, red, green, blue = limits
    clipped_r, clipped_g, clipped_b, clipped, below = 0, 0, 0, 0, 0
    for j in range(nominal.shape[1]):
        r, g, b = nominal[0, j], nominal[1, j], nominal[2, j]
        over_r, over_g, over_b = r >= clips[0], g >= clips[1], b >= clips[2]
        clipped_r += over_r
        clipped_g += over_g
        clipped_b += over_b
        clipped += over_r | over_g | over_b
        below += red * r + green * g + blue * b < floor
    out.clipped[0] += clipped_r
    out.clipped[1] += clipped_g
    out.clipped[2] += clipped_b
    out.any_clipped[0] += clipped
    out.below_floor[0] += below


@nb.njit(cache=True, nogil=True)
def _divide(out: SpotSums, pixels: float) -> None:
    """Sums over so many pixels to means."""
    for k in range(3):
        out.light[k] /= pixels
        out.slope[k] /= pixels
        out.bend[k] /= pixels
        out.stored[k] /= pixels
        out.clipped[k] /= pixels
        for other in range(3):
            out.slope_products[k, other] /= pixels
    out.any_clipped[0] /= pixels
    out.below_floor[0] /= pixels


@nb.njit(cache=True, nogil=True)
def spot_light(
    planes: tuple[Any, Any, Any],
    area: tuple[int, int, int, int, int, int],
    decoding: tuple[FloatArray, FloatArray],
    table: tuple[float, float, FloatArray],
    limits: tuple[FloatArray, float, float, float, float],
    out: SpotSums,
) -> None:
    """Means over a rectangle of pixels in linear light, for `read_spot`.

    Parameters
    ----------
    planes:
        The frame's three.
    area:
        First row, rows, first column, columns; luma rows and columns per chroma sample, 1 or 2.
    decoding:
        (3, 3) float64 matrix from stored samples to nominal R', G', B', and their (3,) zero.
    table:
        Lowest nominal level of the light table, the step of its nodes, a power of two, and linear
        light at them.
    limits:
        (3,) clips of R', G', B' and the floor, nominal; Kr, Kg, Kb.
    out:
        From `no_sums`; written to.
    """
    row0, rows, column0, columns, sub_rows, sub_columns = area
    nominal, slopes = np.empty((3, columns)), np.empty((3, columns))
    for row in range(row0, row0 + rows):
        place = (row, column0, sub_rows, sub_columns)
        _decode_row(planes, place, decoding, nominal, out.stored)
        for k in range(3):
            so_far = (out.light[k], out.slope[k], out.bend[k])
            light, slope, bend = _add_channel(nominal[k], table, slopes[k], so_far)
            out.light[k], out.slope[k], out.bend[k] = light, slope, bend
        _add_products(slopes, out.slope_products)
        _count(nominal, limits, out)
    _divide(out, float(rows * columns))
