"""Where the patches of a chart lie in the picture, from its four corners."""

import math
from dataclasses import dataclass

import numpy as np

from overlays.errors import ChartPlaceError
from overlays.measure.chart.reference import ChartReference
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.gamuts import FloatArray

INSET = 0.6
"""Share of a patch's edge that is read: its rim may hold frame, shadow or a codec's ringing."""
SMALLEST_PATCH = 4
"""Fewest pixels across what is read of a patch."""


@dataclass(frozen=True, slots=True)
class Corners:
    """Four points in pixels of the picture, (column, row), in order round the chart.

    The first is the outer corner of the chart's first patch, then along its first row, and so
    on round it. Corners that a person gave may start elsewhere: `overlays.measure.chart.turn` finds
    out.
    """

    points: tuple[
        tuple[float, float], tuple[float, float], tuple[float, float], tuple[float, float]
    ]

    def turned(self, quarters: int) -> "Corners":
        """The same corners, starting `quarters` corners later.

        Parameters
        ----------
        quarters:
            Whole number, of either sign.

        Returns
        -------
        Corners
            The same four points.

        Examples
        --------
        >>> corners = Corners(((0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)))
        >>> corners.turned(1).points
        ((9.0, 0.0), (9.0, 6.0), (0.0, 6.0), (0.0, 0.0))
        """
        p = self.points
        n = quarters % 4
        return Corners((p[n], p[(n + 1) % 4], p[(n + 2) % 4], p[(n + 3) % 4]))


def in_order(points: tuple[tuple[float, float], ...]) -> Corners:
    """Four points given in any order, sorted clockwise as seen, from the upper left one.

    Parameters
    ----------
    points:
        (column, row) in pixels.

    Returns
    -------
    Corners
        The first is the one nearest to the upper left.

    Raises
    ------
    ChartPlaceError
        Not four points, or they make no four-sided figure.

    Examples
    --------
    >>> in_order(((30, 30), (10, 10), (30, 10), (10, 30))).points
    ((10, 10), (30, 10), (30, 30), (10, 30))
    """
    if len(points) != 4:
        raise ChartPlaceError(f"{len(points)} corners of the chart were given; 4 are needed")
    x = sum(p[0] for p in points) / 4.0
    y = sum(p[1] for p in points) / 4.0
    round_it = sorted(points, key=lambda p: math.atan2(p[1] - y, p[0] - x))
    first = min(range(4), key=lambda n: round_it[n][0] + round_it[n][1])
    p = round_it[first:] + round_it[:first]
    corners = Corners((p[0], p[1], p[2], p[3]))
    if not _is_convex(corners):
        raise ChartPlaceError(
            "the four corners of the chart make no four-sided figure; give the outer corners of "
            "its four corner patches"
        )
    return corners


def _is_convex(corners: Corners) -> bool:
    p = np.array(corners.points)
    one, two = np.roll(p, -1, axis=0) - p, np.roll(p, -2, axis=0) - np.roll(p, -1, axis=0)
    cross = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
    return bool((cross > 1.0).all())


def homography(start: FloatArray, end: FloatArray) -> FloatArray:
    """(3, 3) projective map that takes points `start` to `end`, (n, 2) each, n >= 4, least squares.

    The direct linear transformation with Hartley's normalisation (Hartley & Zisserman, Multiple
    View Geometry, 2nd ed., algorithm 4.2).

    Parameters
    ----------
    start:
        (n, 2) float64, n at least 4, no three of them on a line.
    end:
        (n, 2) float64, where they go.

    Returns
    -------
    ndarray
        (3, 3) float64 without a unit, its last element 1.

    Examples
    --------
    >>> square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    >>> matrix = homography(square, 20.0 * square + 10.0)
    >>> project(matrix, np.array([[0.5, 0.5]])).round(6).tolist()
    [[20.0, 20.0]]
    """
    norm_start, norm_end = _normaliser(start), _normaliser(end)
    a, b = project(norm_start, start), project(norm_end, end)
    ones, zeros = np.ones(len(a)), np.zeros((len(a), 3))
    p = np.column_stack([a, ones])
    upper = np.column_stack([p, zeros, -b[:, :1] * p])
    lower = np.column_stack([zeros, p, -b[:, 1:] * p])
    _, _, right = np.linalg.svd(np.vstack([upper, lower]))
    matrix = np.linalg.solve(norm_end, right[-1].reshape(3, 3) @ norm_start)
    return np.asarray(matrix / matrix[2, 2], dtype=np.float64)


def _normaliser(points: FloatArray) -> FloatArray:
    middle = points.mean(axis=0)
    size = float(np.hypot(*(points - middle).T).mean()) or 1.0
    scale = math.sqrt(2.0) / size
    return np.array(
        [[scale, 0.0, -scale * middle[0]], [0.0, scale, -scale * middle[1]], [0.0, 0.0, 1.0]]
    )


def project(matrix: FloatArray, points: FloatArray) -> FloatArray:
    """Points, (n, 2), through a projective map.

    Parameters
    ----------
    matrix:
        (3, 3) float64.
    points:
        (n, 2) float64.

    Returns
    -------
    ndarray
        (n, 2) float64 in the coordinates the map leads to; not finite where a point goes to
        infinity.

    Examples
    --------
    >>> double = np.diag([2.0, 2.0, 1.0])
    >>> project(double, np.array([[1.0, 3.0]])).tolist()
    [[2.0, 6.0]]
    """
    out = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return np.asarray(out[:, :2] / out[:, 2:], dtype=np.float64)


def chart_map(corners: Corners, rows: int, columns: int, gap: float) -> FloatArray:
    """Projective map from patch coordinates to the picture.

    In patch coordinates the middle of the patch in row r and column c is (c, r); corner patches
    reach half a patch beyond.

    Parameters
    ----------
    corners:
        In pixels of the picture.
    rows, columns:
        Of patches.
    gap:
        Width between patches as a share of a patch's edge.

    Returns
    -------
    ndarray
        (3, 3) float64.

    Examples
    --------
    >>> corners = Corners(((0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)))
    >>> matrix = chart_map(corners, rows=4, columns=6, gap=0.0)
    >>> project(matrix, np.array([[0.0, 0.0]])).round(3).tolist()  # the middle of the first patch
    [[5.0, 5.0]]
    """
    half = 0.5 / (1.0 + gap)
    left, top, right, bottom = -half, -half, columns - 1 + half, rows - 1 + half
    square = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
    return homography(square, np.array(corners.points))


def corners_of_map(matrix: FloatArray, rows: int, columns: int, gap: float) -> Corners:
    """The outer corners of the corner patches under a map from patch coordinates.

    Parameters
    ----------
    matrix:
        (3, 3) float64, as of `chart_map`.
    rows, columns:
        Of patches.
    gap:
        Width between patches as a share of a patch's edge.

    Returns
    -------
    Corners
        In pixels of the picture; they may lie outside it.

    Examples
    --------
    >>> ten_pixels_each = np.diag([10.0, 10.0, 1.0])
    >>> corners_of_map(ten_pixels_each, rows=4, columns=6, gap=0.0).points[2]
    (55.0, 35.0)
    """
    half = 0.5 / (1.0 + gap)
    left, top, right, bottom = -half, -half, columns - 1 + half, rows - 1 + half
    square = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
    p = [(float(x), float(y)) for x, y in project(matrix, square)]
    return Corners((p[0], p[1], p[2], p[3]))


def patch_quads(reference: ChartReference, corners: Corners, inset: float = 1.0) -> FloatArray:
    """(patches, 4, 2) corners of each patch in the picture, shrunk to `inset` of its edge.

    Parameters
    ----------
    reference:
        Gives layout and gap.
    corners:
        In pixels of the picture.
    inset:
        Share of a patch's edge to keep, above 0 to 1.

    Returns
    -------
    ndarray
        float64 (column, row), clockwise from the upper left, in the chart's reading order.

    Examples
    --------
    >>> from overlays.measure.chart.reference import CHART24
    >>> corners = Corners(((0.0, 0.0), (600.0, 0.0), (600.0, 400.0), (0.0, 400.0)))
    >>> patch_quads(CHART24, corners)[0, 2].round().tolist()  # the first patch ends there
    [89.0, 90.0]
    """
    matrix = chart_map(corners, reference.rows, reference.columns, reference.gap)
    half = 0.5 * inset / (1.0 + reference.gap)
    offsets = np.array([[-half, -half], [half, -half], [half, half], [-half, half]])
    middles = np.array(
        [[c, r] for r in range(reference.rows) for c in range(reference.columns)], dtype=np.float64
    )
    points = (middles[:, None] + offsets[None]).reshape(-1, 2)
    return project(matrix, points).reshape(-1, 4, 2)


def patch_places(reference: ChartReference, corners: Corners) -> list[SpotPlace]:
    """The upright square that is read of each patch: the largest within its inset, at its middle.

    Parameters
    ----------
    reference:
        Gives layout and gap.
    corners:
        In pixels of the picture.

    Returns
    -------
    list[SpotPlace]
        One for each patch, in the chart's reading order.

    Raises
    ------
    ChartPlaceError
        The patches are too small to be read.

    Examples
    --------
    >>> from overlays.measure.chart.reference import CHART24
    >>> corners = Corners(((0.0, 0.0), (600.0, 0.0), (600.0, 400.0), (0.0, 400.0)))
    >>> places = patch_places(CHART24, corners)
    >>> len(places), places[0]
    (24, SpotPlace(column=44, row=45, size=53, height=0))
    """
    quads = patch_quads(reference, corners, INSET)
    places = []
    for quad in quads:
        middle = quad.mean(axis=0)
        size = int(2.0 * _inner_half(quad - middle))
        if size < SMALLEST_PATCH:
            raise ChartPlaceError(
                f"the chart's patches are {size} pixels across in the picture; at least "
                f"{SMALLEST_PATCH} are needed, so bring the chart nearer or zoom in"
            )
        places.append(SpotPlace(round(float(middle[0])), round(float(middle[1])), size))
    return places


def _inner_half(quad: FloatArray) -> float:
    """Half the edge of the largest upright square about the origin within a convex quad."""
    best = math.inf
    for start, end in zip(quad, np.roll(quad, -1, axis=0), strict=True):
        normal = np.array([end[1] - start[1], start[0] - end[0]])
        reach = abs(float(normal @ start))
        # A square of half edge h reaches h (|nx| + |ny|) along a normal.
        best = min(best, reach / float(np.abs(normal).sum() or 1.0))
    return best
