"""Corners and layouts as they are written."""

import pytest

from firmware.errors import ArgumentError
from firmware.written.corners import parse_corners, parse_layout
from overlays.errors import ChartPlaceError


@pytest.mark.parametrize(
    "text",
    ["10,20,300,20,300,200,10,200", "10,20 300,20 300,200 10,200", "300,200;10,20; 10,200 ;300,20"],
)
def test_pixels_in_any_order(text):
    corners = parse_corners(text, 400, 300)
    assert corners.points == ((10.0, 20.0), (300.0, 20.0), (300.0, 200.0), (10.0, 200.0))


def test_shares():
    corners = parse_corners("0.25,0.5,0.75,0.5,0.75,1.0,0.25,1.0", 400, 200)
    assert corners.points[0] == (100.0, 100.0)
    assert corners.points[2] == (300.0, 200.0)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "has 0 numbers"),
        ("1,2,3,4", "has 4 numbers"),
        ("1,2,3,4,5,6,7,x", "not eight numbers of one kind"),
        ("1,2,3,4,5,6,7,0.5", "not eight numbers of one kind"),
    ],
)
def test_mistakes_get_a_sentence(text, says):
    with pytest.raises(ArgumentError, match=says):
        parse_corners(text, 400, 300)


def test_a_figure_of_no_area():
    with pytest.raises(ChartPlaceError, match="four-sided"):
        parse_corners("1,1,2,2,3,3,4,4", 400, 300)


def test_layout():
    assert parse_layout("14x10") == (14, 10)
    for text in ("6", "6x", "1x4", "6*4", ""):
        with pytest.raises(ArgumentError, match="--layout"):
            parse_layout(text)
