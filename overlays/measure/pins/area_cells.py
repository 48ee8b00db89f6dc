"""The cells that an area is divided into, to tell how evenly it is lit."""

from overlays.errors import SpotOutsideError
from overlays.measure.spot.spot import SpotPlace

USUAL_CELLS = 12
"""Cells along the longer side of an evenness map."""
_SMALLEST_CELL = 4


def cells_read(place: SpotPlace, cells: int, most: int | None = None) -> tuple[SpotPlace, ...]:
    """The spots that `read_evenness` reads, row by row.

    Parameters
    ----------
    place, cells, most:
        As they are given to it.

    Returns
    -------
    tuple of SpotPlace
        In pixels.

    Raises
    ------
    SpotOutsideError
        The rectangle is too small to be divided.

    Examples
    --------
    >>> cells_read(SpotPlace(50, 50, 100, 50), 2, most=8)
    (SpotPlace(column=25, row=50, size=8, height=8), SpotPlace(column=75, row=50, size=8, height=8))
    """
    grid = grid_of(place, cells)
    return tuple(
        middle_of_cell(cell_at(place, (row, column), grid), most)
        for row in range(grid[0])
        for column in range(grid[1])
    )


def middle_of_cell(cell: SpotPlace, most: int | None) -> SpotPlace:
    """What is read of a cell.

    Parameters
    ----------
    cell:
        As a spot.
    most:
        Pixels each way in its middle; None for all of it.

    Returns
    -------
    SpotPlace
        In pixels.

    Examples
    --------
    >>> middle_of_cell(SpotPlace(50, 50, 40, 30), most=8)
    SpotPlace(column=50, row=50, size=8, height=8)
    """
    if most is None:
        return cell
    return SpotPlace(cell.column, cell.row, min(cell.size, most), min(cell.rows, most))


def grid_of(place: SpotPlace, cells: int) -> tuple[int, int]:
    """Rows and columns of cells.

    Parameters
    ----------
    place, cells:
        The rectangle as a spot, and how many cells along its longer side.

    Returns
    -------
    tuple
        Each 1 or more.

    Raises
    ------
    SpotOutsideError
        The rectangle is too small to be divided.

    Examples
    --------
    >>> grid_of(SpotPlace(500, 500, 120, 60), cells=6)
    (3, 6)
    """
    edge = max(max(place.size, place.rows) / cells, _SMALLEST_CELL)
    # However flat or narrow an area is, it has one row or column of cells.
    down, across = (max(int(side / edge), 1) for side in (place.rows, place.size))
    if down * across < 2 or min(place.size, place.rows) < _SMALLEST_CELL:
        raise SpotOutsideError(
            f"an area of {place.size}x{place.rows} pixels is too small to tell how even it is; "
            f"give it at least {2 * _SMALLEST_CELL} pixels one way and {_SMALLEST_CELL} the other"
        )
    return down, across


def cell_at(place: SpotPlace, at: tuple[int, int], grid: tuple[int, ...]) -> SpotPlace:
    """Where a cell lies in the picture.

    Parameters
    ----------
    place:
        The rectangle as a spot.
    at, grid:
        Row and column of the cell, from 0, and how many there are.

    Returns
    -------
    SpotPlace
        In pixels.

    Examples
    --------
    >>> cell_at(SpotPlace(50, 50, 100, 50), (0, 1), (1, 2))
    SpotPlace(column=75, row=50, size=50, height=50)
    """
    left = place.left + place.size * at[1] // grid[1]
    right = place.left + place.size * (at[1] + 1) // grid[1]
    top = place.top + place.rows * at[0] // grid[0]
    bottom = place.top + place.rows * (at[0] + 1) // grid[0]
    wide, high = right - left, bottom - top
    return SpotPlace(left + wide // 2, top + high // 2, wide, high)
