import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ArgumentError
from firmware.screen.rotation import Rotation, rotation_asked, turned_back, turned_size

rotations = st.sampled_from(Rotation)
edges = st.integers(1, 40)


@given(rotations, edges, edges)
def test_turning_back_finds_the_pixel_numpy_put_there(rotation, columns, rows):
    picture = np.arange(columns * rows).reshape(rows, columns)
    panel = np.rot90(picture, -rotation.value // 90)  # numpy turns counter-clockwise
    assert turned_size((columns, rows), rotation) == panel.shape[::-1]
    for down in range(panel.shape[0]):
        for across in range(panel.shape[1]):
            x, y = turned_back((across, down), panel.shape[::-1], rotation)
            assert picture[y, x] == panel[down, across]


def test_clockwise_means_that_the_top_left_corner_goes_to_the_top_right():
    assert turned_back((719, 0), (720, 1280), Rotation.RIGHT) == (0, 0)
    assert turned_back((1279, 719), (1280, 720), Rotation.HALF) == (0, 0)
    assert turned_back((0, 1279), (720, 1280), Rotation.LEFT) == (0, 0)


@pytest.mark.parametrize("rotation", Rotation)
def test_only_quarter_turns_change_places_of_rows_and_columns(rotation):
    assert rotation.upright is (rotation.value % 180 == 0)


@pytest.mark.parametrize(
    ("option", "variable", "wanted"),
    [
        (None, None, Rotation.NONE),
        (None, "", Rotation.NONE),
        (None, "270", Rotation.LEFT),
        (90, None, Rotation.RIGHT),
        (0, "180", Rotation.NONE),
        (180, "nonsense", Rotation.HALF),
    ],
)
def test_rotation_of_the_option_else_of_the_environment(option, variable, wanted):
    environ = {} if variable is None else {"MIDGREY_ROTATE": variable}
    assert rotation_asked(option, environ) is wanted


@pytest.mark.parametrize(
    ("option", "variable", "where"),
    [(45, "90", "--rotate 45"), (-90, "", "--rotate -90"), (None, "9o", "MIDGREY_ROTATE 9o")],
)
def test_other_rotations_are_refused(option, variable, where):
    with pytest.raises(ArgumentError, match=f"{where}: .*0, 90, 180, 270 degrees"):
        rotation_asked(option, {"MIDGREY_ROTATE": variable})
