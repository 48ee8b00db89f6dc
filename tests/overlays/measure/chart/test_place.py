"""Corners, projective maps and the squares that are read."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import ChartPlaceError
from overlays.measure.chart.place import (
    Corners,
    chart_map,
    corners_of_map,
    homography,
    in_order,
    patch_places,
    patch_quads,
    project,
)
from overlays.measure.chart.reference import CHART24

SQUARE = ((10.0, 20.0), (310.0, 25.0), (305.0, 220.0), (12.0, 210.0))


@pytest.mark.parametrize("order", list(itertools.permutations(SQUARE)))
def test_any_order_of_corners_is_the_same_figure(order):
    assert in_order(order).points == SQUARE


def test_impossible_corners_get_a_sentence():
    with pytest.raises(ChartPlaceError, match="3 corners"):
        in_order(SQUARE[:3])
    with pytest.raises(ChartPlaceError, match="no four-sided figure"):
        in_order(((0.0, 0.0), (10.0, 0.0), (20.0, 0.0), (5.0, 9.0)))
    with pytest.raises(ChartPlaceError, match="no four-sided figure"):
        in_order(((0.0, 0.0), (100.0, 0.0), (20.0, 20.0), (0.0, 100.0)))


@given(st.floats(-0.4, 0.4), st.floats(-0.4, 0.4), st.floats(-2e-3, 2e-3), st.floats(-2e-3, 2e-3))
def test_homography_finds_the_map_it_was_given(b, c, g, h):
    true = np.array([[1.3, b, 40.0], [c, 0.9, 30.0], [g, h, 1.0]])
    points = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 60.0], [0.0, 60.0], [40.0, 20.0]])
    np.testing.assert_allclose(
        homography(points, project(true, points)), true, rtol=1e-6, atol=1e-9
    )


def test_map_and_corners_are_inverse():
    matrix = chart_map(Corners(SQUARE), 4, 6, 0.15)
    back = corners_of_map(matrix, 4, 6, 0.15)
    np.testing.assert_allclose(back.points, SQUARE, atol=1e-9)


def test_corner_patches_reach_the_corners():
    quads = patch_quads(CHART24, Corners(SQUARE))
    np.testing.assert_allclose(quads[0, 0], SQUARE[0], atol=1e-9)
    np.testing.assert_allclose(quads[5, 1], SQUARE[1], atol=1e-9)
    np.testing.assert_allclose(quads[23, 2], SQUARE[2], atol=1e-9)
    np.testing.assert_allclose(quads[18, 3], SQUARE[3], atol=1e-9)


@given(st.floats(0.0, 360.0))
def test_what_is_read_lies_within_the_patch(degrees):
    angle = np.radians(degrees)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    p = (np.array(SQUARE) - 160.0) @ turn.T + 400.0
    corners = Corners(tuple((float(x), float(y)) for x, y in p))
    for place, quad in zip(
        patch_places(CHART24, corners), patch_quads(CHART24, corners), strict=True
    ):
        right, bottom = place.left + place.size, place.top + place.size
        for x, y in itertools.product((place.left, right), (place.top, bottom)):
            edges = np.roll(quad, -1, axis=0) - quad
            to = np.array([x, y]) - quad
            assert (edges[:, 0] * to[:, 1] - edges[:, 1] * to[:, 0] > 0.0).all()


def test_a_chart_too_small_gets_a_sentence():
    tiny = Corners(tuple((x / 12.0, y / 12.0) for x, y in SQUARE))
    with pytest.raises(ChartPlaceError, match="pixels across"):
        patch_places(CHART24, tiny)


def test_turned_starts_later():
    assert Corners(SQUARE).turned(1).points[0] == SQUARE[1]
    assert Corners(SQUARE).turned(5).points == Corners(SQUARE).turned(1).points
