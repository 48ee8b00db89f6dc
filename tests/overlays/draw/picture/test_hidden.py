"""What is left to draw of a picture that something lies over."""

import pytest

from overlays.draw.layout.areas import Area
from overlays.draw.layout.monitor import Monitor
from overlays.draw.picture.hidden import NOTHING, Hidden

SHAPE = (720, 1280)


def test_nothing_is_hidden_unless_somebody_says_so():
    assert NOTHING.drawn(SHAPE, Monitor()) == (720, 1280, 0)


@pytest.mark.parametrize(
    ("hidden", "drawn"),
    [
        (Hidden(rows=900), (720, 1280, 0)),
        (Hidden(rows=-3), (1, 1280, 0)),
        (Hidden(columns=960, above=100), (720, 960, 100)),
        (Hidden(columns=961, above=100), (720, 976, 100)),
        (Hidden(columns=1279, above=100), (720, 1280, 100)),
        (Hidden(columns=-4, above=100), (720, 16, 100)),
    ],
)
def test_rows_and_whole_steps_of_columns_are_left(hidden, drawn):
    assert hidden.drawn(SHAPE, Monitor()) == drawn


@pytest.mark.parametrize(
    "monitor", [Monitor(flipped=True), Monitor(mirrored=True), Monitor(edges=True)]
)
def test_a_picture_that_is_turned_or_has_its_edges_lit_is_drawn_whole(monitor):
    assert Hidden(rows=20, columns=30, above=9).drawn(SHAPE, monitor) == (720, 1280, 0)


PICTURE, FOOT = Area(0, 10, 800, 450), Area(6, 430, 788, 18)


@pytest.mark.parametrize(
    ("foot", "plate", "hidden"),
    [
        (FOOT, None, Hidden(rows=420)),
        (FOOT, Area(600, 0, 200, 300), Hidden(rows=420, columns=600, above=290)),
        (FOOT, Area(0, 0, 200, 300), Hidden(rows=420)),  # at the left: all rows begin there
        (FOOT, Area(600, 20, 200, 300), Hidden(rows=420)),  # something of the picture is above it
        (FOOT, Area(600, 0, 199, 300), Hidden(rows=420)),  # and here beside it
        (Area(6, 470, 788, 18), Area(600, 0, 250, 300), Hidden(columns=600, above=290)),
    ],
)
def test_what_lies_under_a_foot_and_a_plate_in_the_corner_is_hidden(foot, plate, hidden):
    assert Hidden.under(PICTURE, foot, plate) == hidden
