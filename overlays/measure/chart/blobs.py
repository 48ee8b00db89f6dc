"""Flat places in a picture: what the patches of a chart look like before they are known."""

import math
from dataclasses import dataclass

import numba
import numpy as np
import numpy.typing as npt

from overlays.measure.counting.yardstick import Yardstick
from overlays.sharing.stepwise import Steps, whole
from overlays.signal.frame import Frame, Plane
from overlays.signal.gamuts import FloatArray

SMALL_COLUMNS = 480
"""The picture is searched at about this width: patches are still tens of pixels across."""
FLATNESS = (0.012, 0.025, 0.05)
"""Steps of R'G'B' between neighbours that still count as flat; tried one after the other, since a
noisy picture needs the last and a chart with thin gaps the first."""
SMALLEST_AREA = 20
LARGEST_SHARE = 1.0 / 28.0
"""Share of the picture one patch of 24 can fill, with what lies between them."""
LEAST_SQUARE = 0.86
"""Area of a blob against that of a rectangle of the same second moments: 1 for a rectangle, 0.95
for a disc, less for whatever is ragged."""
LARGEST_ASPECT = 2.0
MOST_BLOBS = 300
"""Of each flatness, the largest first: it bounds the time that many small squares take."""


@dataclass(frozen=True, slots=True)
class SmallPicture:
    """A picture brought down by `factor`: (rows, columns, 3) nominal R', G', B'."""

    factor: int
    nominal: FloatArray


@dataclass(frozen=True, slots=True)
class Blob:
    """A flat, roughly rectangular place: its middle and area in pixels of the small picture."""

    column: float
    row: float
    area: float


def _brought_down(plane: Plane, across: int, down: int, rows: int, columns: int) -> FloatArray:
    """Means of blocks of `down` rows by `across` columns, (rows, columns)."""
    whole = plane[: rows * down, : columns * across]
    # Column sums first: a strided view is walked once, and the sums stay small.
    halves = sum(whole[n::down].astype(np.float64) for n in range(down))
    lines = np.asarray(halves, dtype=np.float64)
    total = sum(lines[:, n::across] for n in range(across))
    return np.asarray(total, dtype=np.float64) / (across * down)


def small_picture(frame: Frame, yard: Yardstick) -> SmallPicture:
    """The picture by block means, at about 480 columns; at full size below 960.

    Parameters
    ----------
    frame:
        Of any layout.
    yard:
        Gives the way from its codes to R'G'B'.

    Returns
    -------
    SmallPicture
        Nominal R', G', B', float64; about 480 columns, fewer than 960 in any case.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> picture = small_picture(grey_frame([[64, 940]], cell=640), VIDEO)
    >>> picture.factor, picture.nominal.shape, picture.nominal[0, [0, -1], 0].round(3).tolist()
    (2, (320, 640, 3), [0.0, 1.0])
    """
    factor = frame.columns // SMALL_COLUMNS
    factor = 1 if factor < 2 else factor - factor % 2
    rows, columns = frame.rows // factor, frame.columns // factor
    sub = frame.signal.subsampling
    planes = []
    for n, plane in enumerate(frame.planes):
        across, down = (factor, factor) if n == 0 else (factor / sub.columns, factor / sub.rows)
        if across < 1.0 or down < 1.0:  # chroma of a small picture: each sample serves its pixels
            wide = np.repeat(np.repeat(plane, sub.rows, axis=0), sub.columns, axis=1)
            planes.append(wide[:rows, :columns].astype(np.float64))
        else:
            planes.append(_brought_down(plane, int(across), int(down), rows, columns))
    stored = np.stack(planes, axis=-1) - yard.decoding.zero
    return SmallPicture(factor, stored @ yard.decoding.matrix.T)


def _steps(nominal: FloatArray) -> FloatArray:
    """Largest step of any channel to a neighbour, (rows, columns); infinite at the rim."""
    rows, columns, _ = nominal.shape
    out, most = np.full((rows, columns), np.inf), np.zeros((max(rows - 2, 0), max(columns - 2, 0)))
    # Channel by channel: over three numbers at a time it takes three times as long.
    for channel in np.ascontiguousarray(np.moveaxis(nominal, -1, 0)):
        np.maximum(most, np.abs(channel[1:-1, 2:] - channel[1:-1, :-2]), out=most)
        np.maximum(most, np.abs(channel[2:, 1:-1] - channel[:-2, 1:-1]), out=most)
    out[1:-1, 1:-1] = most
    return out


@numba.njit(cache=True, nogil=True)
def _flood(flat: npt.NDArray[np.bool_], stack: npt.NDArray[np.int64], sums: FloatArray) -> int:
    """Moments of each connected flat place; clears `flat`. Returns how many; see `flat_blobs`.

    `sums` is (most, 6): count, sums of x, y, xx, yy, xy.
    """
    rows, columns = flat.shape
    found = 0
    for start in range(rows * columns):
        if not flat[start // columns, start % columns] or found >= sums.shape[0]:
            continue
        top = 0
        stack[0] = start
        flat[start // columns, start % columns] = False
        sums[found, :] = 0.0
        while top >= 0:
            y, x = stack[top] // columns, stack[top] % columns
            top -= 1
            sums[found, 0] += 1.0
            sums[found, 1] += x
            sums[found, 2] += y
            sums[found, 3] += x * x
            sums[found, 4] += y * y
            sums[found, 5] += x * y
            for side in range(4):
                yy = y + (side == 0) - (side == 1)
                xx = x + (side == 2) - (side == 3)
                if 0 <= yy < rows and 0 <= xx < columns and flat[yy, xx]:
                    flat[yy, xx] = False
                    top += 1
                    stack[top] = yy * columns + xx
        if sums[found, 0] >= SMALLEST_AREA:
            found += 1
    return found


def _squares(sums: FloatArray, largest: float) -> list[Blob]:
    """Those of the places that are about as full as a rectangle, and not too long."""
    out = []
    for count, sx, sy, sxx, syy, sxy in sums:
        x, y = sx / count, sy / count
        # A pixel is a square, not a point: its own moment is 1/12.
        xx, yy, xy = sxx / count - x * x + 1 / 12, syy / count - y * y + 1 / 12, sxy / count - x * y
        fullness = count / (12.0 * math.sqrt(max(xx * yy - xy * xy, 1e-9)))
        middle, half = (xx + yy) / 2.0, math.hypot((xx - yy) / 2.0, xy)
        aspect = math.sqrt((middle + half) / max(middle - half, 1e-9))
        if count <= largest and fullness >= LEAST_SQUARE and aspect <= LARGEST_ASPECT:
            out.append(Blob(x + 0.5, y + 0.5, count))
    return sorted(out, key=lambda blob: -blob.area)[:MOST_BLOBS]


def flat_blobs(picture: SmallPicture, largest_share: float = LARGEST_SHARE) -> list[Blob]:
    """Flat, roughly rectangular places of the small picture, each once.

    Parameters
    ----------
    picture:
        From `small_picture`.
    largest_share:
        Of the picture, 0..1: what is larger is left out; by default the largest patch of a chart.

    Returns
    -------
    list[Blob]
        At most `MOST_BLOBS` for each flatness; places and areas in pixels of the small picture.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> codes = [[200] * 3, [200, 600, 200], [200] * 3]
    >>> picture = small_picture(grey_frame(codes, cell=32), VIDEO)
    >>> [(float(blob.column), float(blob.row)) for blob in flat_blobs(picture, largest_share=0.2)]
    [(48.0, 48.0)]
    """
    return whole(flat_blobs_in_steps(picture, largest_share))


def flat_blobs_in_steps(
    picture: SmallPicture, largest_share: float = LARGEST_SHARE
) -> Steps[list[Blob]]:
    """The same in steps, one for each flatness.

    Parameters
    ----------
    picture, largest_share:
        As of `flat_blobs`.

    Returns
    -------
    Steps[list[Blob]]
        Which return what `flat_blobs` does.

    Examples
    --------
    >>> nothing = SmallPicture(1, np.zeros((32, 32, 3)))
    >>> len(list(flat_blobs_in_steps(nothing)))
    3
    """
    steps = _steps(picture.nominal)
    stack = np.zeros(steps.size, dtype=np.int64)
    sums = np.zeros((4096, 6))
    blobs: list[Blob] = []
    for flatness in FLATNESS:
        count = _flood(steps < flatness, stack, sums)
        for blob in _squares(sums[:count], steps.size * largest_share):
            reach = 0.3 * math.sqrt(blob.area)
            if not any(
                abs(other.column - blob.column) < reach and abs(other.row - blob.row) < reach
                for other in blobs
            ):
                blobs.append(blob)
        yield
    return blobs
