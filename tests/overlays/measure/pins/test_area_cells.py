from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.pins.area_cells import cells_read, middle_of_cell
from overlays.measure.spot.spot import SpotPlace


@given(st.integers(8, 900), st.integers(8, 900), st.integers(2, 12), st.integers(4, 40))
def test_what_is_read_of_each_cell_lies_in_it_and_cells_do_not_overlap(wide, high, cells, most):
    place = SpotPlace(1000, 1000, wide, high)
    try:
        whole = cells_read(place, cells)
    except Exception as fault:  # noqa: BLE001 - too small for two cells
        assert "too small" in str(fault)  # noqa: PT017
        return
    assert sum(each.size * each.rows for each in whole) == wide * high
    for cell, read in zip(whole, cells_read(place, cells, most), strict=True):
        assert cell.left <= read.left <= read.left + read.size <= cell.left + cell.size
        assert cell.top <= read.top <= read.top + read.rows <= cell.top + cell.rows
        assert (read.size, read.rows) == (min(cell.size, most), min(cell.rows, most))


def test_all_of_it_is_read_where_no_bound_is_given():
    cell = SpotPlace(50, 40, 30, 20)
    assert middle_of_cell(cell, None) is cell
