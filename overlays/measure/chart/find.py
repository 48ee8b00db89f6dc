"""Finding a chart in the picture without being told where it is."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from overlays.errors import ChartNotFoundError, ChartPlaceError
from overlays.measure.chart.blobs import SmallPicture, flat_blobs_in_steps, small_picture
from overlays.measure.chart.grid import Grid, find_grids_in_steps
from overlays.measure.chart.place import Corners, corners_of_map, project
from overlays.measure.chart.reference import BUILT_IN, ChartReference
from overlays.measure.chart.turn import Turn, best_turn, settle
from overlays.measure.counting.yardstick import Yardstick
from overlays.sharing.stepwise import Steps, whole
from overlays.signal.frame import Frame
from overlays.signal.gamuts import FloatArray, Gamut

SURE_LIKENESS = 0.85
"""Correlation of colours with a reference from which a grid of patches is taken for that chart."""
_MOST_GRIDS = 4
_LEAST_SEEN = 0.6
_PARTLY_LIKE = 0.9


@dataclass(frozen=True, slots=True)
class FoundChart:
    """A chart found: which one, and its corners in its own order."""

    reference: ChartReference
    corners: Corners
    likeness: float


@dataclass(frozen=True, slots=True)
class _Guess:
    """A window of a grid taken for a chart; `seen` is the share of its patches in the picture."""

    reference: ChartReference
    matrix: FloatArray
    turn: Turn
    seen: float


def find_chart(
    frame: Frame,
    yard: Yardstick,
    gamut: Gamut,
    references: Sequence[ChartReference] = BUILT_IN,
) -> FoundChart:
    """Find one of several charts.

    Flat rectangular places of the picture are sought that stand in a grid; a grid is a chart where
    its colours agree with a reference's, whatever the light. Works from about 1/8 of the picture's
    width to all of it, turned any way and up to about 30 degrees out of square; not on a chart that
    is partly covered, strongly reflecting or out of focus, nor on fewer than nine patches that
    stand out from what is between them. Then give the corners.

    Parameters
    ----------
    frame:
        Of any layout.
    yard:
        What it is measured with.
    gamut:
        What its linear R, G, B mean; decides which colours a reference has in this picture.
    references:
        The charts that it may be; at least one.

    Returns
    -------
    FoundChart
        The likeliest chart whose likeness is at least `SURE_LIKENESS`.

    Raises
    ------
    ChartNotFoundError
        No chart is seen.
    ChartPlaceError
        A chart is seen, but cut off by the frame.
    ChartTurnedError
        It is upside down or mirrored.

    Examples
    --------
    >>> from overlays.measure.chart.reference import CHART24
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import colour_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> gamut = published_gamut("BT.709")
    >>> levels = VIDEO.carried.nominal(np.maximum(CHART24.linear(gamut), 0.0)).reshape(4, 6, 3)
    >>> patch = np.zeros((8, 8, 1))
    >>> patch[:7, :7] = 100.0  # and a gap
    >>> frame = colour_frame(np.kron(levels, patch).tolist(), cell=4)
    >>> found = find_chart(frame, VIDEO, gamut, (CHART24,))
    >>> found.reference is CHART24, found.likeness > 0.99
    (True, True)
    """
    return whole(find_chart_in_steps(frame, yard, gamut, references))


def find_chart_in_steps(
    frame: Frame,
    yard: Yardstick,
    gamut: Gamut,
    references: Sequence[ChartReference] = BUILT_IN,
) -> Steps[FoundChart]:
    """The same in steps, each a small part of the search.

    Parameters
    ----------
    frame, yard, gamut, references:
        As of `find_chart`; the frame must stay as it is until the last step.

    Returns
    -------
    Steps[FoundChart]
        Which return what `find_chart` does.

    Raises
    ------
    ChartNotFoundError, ChartPlaceError, ChartTurnedError
        As of `find_chart`, in the last step.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> steps = find_chart_in_steps(grey_frame([[420]]), VIDEO, published_gamut("BT.709"))
    >>> next(steps), next(steps)  # no chart is found before the last
    (None, None)
    """
    picture = small_picture(frame, yard)
    yield
    guesses: list[_Guess] = []
    blobs = yield from flat_blobs_in_steps(picture)
    grids = yield from find_grids_in_steps(blobs)
    for grid in grids[:_MOST_GRIDS]:
        for reference in references:
            guesses += _guesses(picture, yard, gamut, grid, reference)
            yield
    whole = [g for g in guesses if g.seen == 1.0 and g.turn.likeness >= SURE_LIKENESS]
    if not whole:
        part = [g for g in guesses if g.seen < 1.0 and g.turn.likeness >= _PARTLY_LIKE]
        if part:
            best = max(part, key=lambda guess: guess.turn.likeness)
            raise ChartPlaceError(
                f"the {best.reference.name} is cut off by the frame; move it or the camera until "
                "all of it is seen"
            )
        names = " or ".join(f"the {reference.name}" for reference in references)
        raise ChartNotFoundError(
            f"no chart was found in the picture ({names}); hold it larger, flatter and in focus, "
            "or give its four corners"
        )
    best = max(whole, key=lambda guess: guess.turn.likeness)
    return _found(best, picture, frame)


def _found(guess: _Guess, picture: SmallPicture, frame: Frame) -> FoundChart:
    reference, quarters = guess.reference, guess.turn.quarters
    sideways = quarters % 2 == 1
    rows, columns = reference.rows, reference.columns
    if sideways:
        rows, columns = columns, rows
    small = corners_of_map(guess.matrix, rows, columns, reference.gap)
    scale = float(picture.factor)
    p = [
        (min(max(x * scale, 0.0), frame.columns), min(max(y * scale, 0.0), frame.rows))
        for x, y in small.points
    ]
    corners = settle(reference, Corners((p[0], p[1], p[2], p[3])), guess.turn)
    return FoundChart(reference, corners, guess.turn.likeness)


def _windows(grid: Grid, rows: int, columns: int) -> Iterator[tuple[int, int]]:
    """Starts (column, row) of every window of the grid that could be the whole chart."""
    cells = np.array(list(grid.cells))
    low, high = cells.min(axis=0), cells.max(axis=0)
    for c in range(int(high[0]) - columns + 1 - 2, int(low[0]) + 3):
        for r in range(int(high[1]) - rows + 1 - 2, int(low[1]) + 3):
            held = (
                (cells[:, 0] >= c)
                & (cells[:, 0] < c + columns)
                & (cells[:, 1] >= r)
                & (cells[:, 1] < r + rows)
            )
            if held.sum() >= max(0.8 * len(cells), 9):
                yield c, r


def _guesses(
    picture: SmallPicture, yard: Yardstick, gamut: Gamut, grid: Grid, reference: ChartReference
) -> list[_Guess]:
    """Every window of a grid as the chart, upright or on its side."""
    out = []
    expected = reference.linear(gamut)
    for quarter in (0, 1):
        rows, columns = reference.rows, reference.columns
        if quarter:
            rows, columns = columns, rows
        for start in _windows(grid, rows, columns):
            matrix = _window_map(grid, start)
            read, seen = _sampled(picture, yard, matrix, rows, columns)
            if seen < _LEAST_SEEN:
                continue
            order = np.arange(rows * columns).reshape(rows, columns)
            if quarter:  # the corners turned by one start at the upper right and run down
                order = np.rot90(order)
            reads = read[order.ravel()]
            turn = best_turn(reference, expected, reads, reads)
            turn = Turn((turn.quarters // 2) * 2 + quarter, turn.mirrored, turn.likeness)
            out.append(_Guess(reference, matrix, turn, seen))
    return out


def _window_map(grid: Grid, start: tuple[int, int]) -> FloatArray:
    """Map from the window's own (column, row) to the small picture."""
    shift = np.array([[1.0, 0.0, start[0]], [0.0, 1.0, start[1]], [0.0, 0.0, 1.0]])
    return np.asarray(grid.matrix @ shift, dtype=np.float64)


def _sampled(
    picture: SmallPicture, yard: Yardstick, matrix: FloatArray, rows: int, columns: int
) -> tuple[FloatArray, float]:
    """Linear R, G, B at the middles of the window's patches, and the share that is in the picture.

    nan where a patch lies outside.
    """
    middles = project(
        matrix, np.array([[c, r] for r in range(rows) for c in range(columns)], dtype=np.float64)
    )
    high, wide = picture.nominal.shape[:2]
    x, y = np.floor(middles).astype(np.int64).T
    inside = (x >= 1) & (x < wide - 1) & (y >= 1) & (y < high - 1)
    out = np.full((rows * columns, 3), np.nan)
    for n in np.flatnonzero(inside):
        block = picture.nominal[y[n] - 1 : y[n] + 2, x[n] - 1 : x[n] + 2]
        out[n] = yard.carried.light(block.reshape(-1, 3)).mean(axis=0)
    return out, float(inside.mean())
