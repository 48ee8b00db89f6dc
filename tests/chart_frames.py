"""Pictures of charts painted by the reference's own figures, for tests."""

from functools import cache

import numpy as np

from overlays.measure.chart.place import Corners, patch_quads
from overlays.measure.chart.reference import ChartReference

BORDER = 0.02


def upright(left=60.0, top=50.0, pitch=40.0, gap=0.15, rows=4, columns=6):
    """Corners of an upright chart whose first patch starts at (left, top)."""
    edge = pitch / (1.0 + gap)
    right, bottom = left + pitch * (columns - 1) + edge, top + pitch * (rows - 1) + edge
    return Corners(((left, top), (right, top), (right, bottom), (left, bottom)))


def turned(corners, degrees, about=(178.0, 130.0), squeeze=0.0):
    """The corners turned about a point, the far side drawn in by `squeeze` as in perspective."""
    angle = np.radians(degrees)
    p = np.array(corners.points) - about
    p[:, 0] *= 1.0 - squeeze * (p[:, 1] > 0)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    q = p @ turn.T + about
    return Corners(tuple((float(x), float(y)) for x, y in q))


def inside(quad, rows, columns):
    """Mask of the pixels whose middle lies within a convex quad of either sense."""
    quad = np.asarray(quad)
    left, top = np.clip(np.floor(quad.min(axis=0)), 0, (columns, rows)).astype(int)
    right, bottom = np.clip(np.ceil(quad.max(axis=0)), 0, (columns, rows)).astype(int)
    y, x = np.mgrid[top:bottom, left:right] + 0.5
    sides = []
    for a, b in zip(quad, np.roll(quad, -1, axis=0), strict=True):
        sides.append((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]))
    sides = np.array(sides)
    mask = np.zeros((rows, columns), bool)
    mask[top:bottom, left:right] = (sides >= 0).all(axis=0) | (sides <= 0).all(axis=0)
    return mask


def mottled(rows, columns, seed=7):
    """A ground with soft shapes and a fine texture, as of stone or foliage out of focus."""
    return _mottled(rows, columns, seed).copy()


@cache
def _mottled(rows, columns, seed):
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:rows, 0:columns]
    out = np.full((rows, columns, 3), 0.18)
    for _ in range(12):
        wave, phase = rng.uniform(-0.08, 0.08, 2), rng.uniform(0.0, 6.28)
        out *= 1.0 + 0.25 * np.sin(wave[0] * x + wave[1] * y + phase)[..., None] * rng.uniform(
            0.3, 1.0, 3
        )
    return out * rng.uniform(0.8, 1.2, out.shape)


def tiled(rows, columns, edge=8, seed=7):
    """A wall of coloured tiles: flat squares in a grid that are no chart."""
    rng = np.random.default_rng(seed)
    coarse = rng.uniform(0.05, 0.4, (rows // edge + 1, columns // edge + 1, 3))
    return np.kron(coarse, np.ones((edge, edge, 1)))[:rows, :columns]


def painted(
    reference: ChartReference,
    corners: Corners,
    linear: np.ndarray,
    shape=(260, 360),
    border=BORDER,
    ground=None,
):
    """(rows, columns, 3) linear picture: ground, a dark card, and the patches on it."""
    rows, columns = shape
    if ground is None:
        ground = mottled(rows, columns)
    picture = np.array(np.broadcast_to(ground, (rows, columns, 3)), dtype=float)
    middle = np.mean(corners.points, axis=0)
    card = middle + (np.array(corners.points) - middle) * 1.12
    picture[inside(card, rows, columns)] = border
    for quad, colour in zip(patch_quads(reference, corners), linear, strict=True):
        picture[inside(quad, rows, columns)] = colour
    return picture
