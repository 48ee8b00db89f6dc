"""The two hot loops of the bench. Private to the bench; arguments are checked by their callers."""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit

WHEEL = 4096
"""Entries of the periodic cloud table; a power of two."""


class Cloud(NamedTuple):
    """Where a cloud lies: light is dimmed by ``wheel[(along + down + phase) % WHEEL] * weight``."""

    wheel: npt.NDArray[np.int32]
    """(WHEEL,) light-code steps of dimming."""
    along: npt.NDArray[np.int32]
    """(columns,) wheel positions."""
    down: npt.NDArray[np.int32]
    """(rows,) wheel positions."""
    weight: npt.NDArray[np.int32]
    """(columns,) WHEEL-ths."""


class Plate(NamedTuple):
    """Samples without noise, in the order of the buffer, flat."""

    base: npt.NDArray[np.uint16]
    """Codes in units of 2^(bits - 16)."""
    gain: npt.NDArray[np.uint8]
    """Steps of noise; a step is what the encoder's `gain_scale` makes it."""


class Encoder(NamedTuple):
    """How light becomes a sample of the base and its noise."""

    nominal: npt.NDArray[np.float32]
    """(65536,) nominal level by light code, one table for R', G' and B'."""
    sigma: npt.NDArray[np.float32]
    """(3, 65536) standard deviation of the same."""
    matrix: npt.NDArray[np.float32]
    """(3, 3) nominal R'G'B' to base units of the three planes."""
    zero: npt.NDArray[np.float32]
    """(3,) base units of nominal 0."""
    gain_scale: float
    """Gain steps to a base unit of noise."""
    steps: npt.NDArray[np.int64]
    """(3, 3) of (first sample, to the next row, to the next column) of each plane."""
    sub_rows: int
    sub_columns: int


@njit(cache=True, nogil=True)
def render(
    scene: npt.NDArray[np.uint16],
    encoder: Encoder,
    cloud: Cloud,
    phase: int,
    window: tuple[int, int, int],
    plate: Plate,
) -> None:
    """Encode rows window[0]..window[1], columns 0..window[2] of `scene` into the plate.

    `scene` is (rows, columns, 3) light codes; the window starts on a chroma row.
    """
    rows, columns, _ = scene.shape
    top, bottom, right = window
    base, gain = plate.base, plate.gain
    m, zero, steps = encoder.matrix, encoder.zero, encoder.steps
    ceiling = np.float32(65535.0)
    for r0 in range(top, bottom, encoder.sub_rows):
        for c0 in range(0, right, encoder.sub_columns):
            sum1 = sum2 = var1 = var2 = count = np.float32(0.0)
            for r in range(r0, min(r0 + encoder.sub_rows, rows)):
                for c in range(c0, min(c0 + encoder.sub_columns, columns)):
                    turn = (cloud.along[c] + cloud.down[r] + phase) & (WHEEL - 1)
                    dim = (cloud.wheel[turn] * cloud.weight[c]) // WHEEL
                    i = max(scene[r, c, 0] - dim, 0)
                    j = max(scene[r, c, 1] - dim, 0)
                    k = max(scene[r, c, 2] - dim, 0)
                    red, green, blue = (
                        encoder.nominal[i],
                        encoder.nominal[j],
                        encoder.nominal[k],
                    )
                    s, t, u = encoder.sigma[i], encoder.sigma[j], encoder.sigma[k]
                    luma = m[0, 0] * red + m[0, 1] * green + m[0, 2] * blue + zero[0]
                    spread = (m[0, 0] * s) ** 2 + (m[0, 1] * t) ** 2 + (m[0, 2] * u) ** 2
                    at = steps[0, 0] + r * steps[0, 1] + c * steps[0, 2]
                    base[at] = np.uint16(min(max(luma + np.float32(0.5), np.float32(0)), ceiling))
                    gain[at] = np.uint8(min(np.sqrt(spread) * encoder.gain_scale + 0.5, 255.0))
                    sum1 += m[1, 0] * red + m[1, 1] * green + m[1, 2] * blue
                    sum2 += m[2, 0] * red + m[2, 1] * green + m[2, 2] * blue
                    var1 += (m[1, 0] * s) ** 2 + (m[1, 1] * t) ** 2 + (m[1, 2] * u) ** 2
                    var2 += (m[2, 0] * s) ** 2 + (m[2, 1] * t) ** 2 + (m[2, 2] * u) ** 2
                    count += np.float32(1.0)
            r, c = r0 // encoder.sub_rows, c0 // encoder.sub_columns
            for plane in range(1, 3):
                mean = (sum1 if plane == 1 else sum2) / count + zero[plane]
                spread = (var1 if plane == 1 else var2) / (count * count)
                at = steps[plane, 0] + r * steps[plane, 1] + c * steps[plane, 2]
                base[at] = np.uint16(min(max(mean + np.float32(0.5), np.float32(0)), ceiling))
                gain[at] = np.uint8(min(np.sqrt(spread) * encoder.gain_scale + 0.5, 255.0))


class Output(NamedTuple):
    """How base and noise become the samples of a buffer, all in single precision."""

    unit: np.float32
    """Codes to a base unit."""
    noise_unit: np.float32
    """Codes to a gain step times an entry of the noise table."""
    low: np.float32
    high: np.float32
    """Lowest and highest code that is legal, the latter with the half that rounds."""
    shifted: np.float32
    """What a code is multiplied with to be stored (64 for P010)."""


@njit(cache=True, nogil=True, fastmath=True)
def emit(
    out: npt.NDArray[np.uint8] | npt.NDArray[np.uint16],
    plate: Plate,
    noise: npt.NDArray[np.int16],
    starts: npt.NDArray[np.int64],
    how: Output,
) -> None:
    """Write base plus noise, rounded and kept legal, into a buffer of as many samples.

    The noise of each stretch of samples is read from another place (`starts`) of the table. Single
    precision throughout, so that eight samples go through a vector register at a time.
    """
    stretch = -(-out.size // starts.size)
    for n in range(starts.size):
        first, last = n * stretch, min((n + 1) * stretch, out.size)
        table = noise[starts[n] : starts[n] + stretch]
        to, at, by = out[first:last], plate.base[first:last], plate.gain[first:last]
        for i in range(to.size):
            code = (
                np.float32(at[i]) * how.unit
                + np.float32(by[i]) * (how.noise_unit * np.float32(table[i]))
                + np.float32(0.5)
            )
            to[i] = np.int32(min(max(code, how.low), how.high)) * np.int32(how.shifted)
