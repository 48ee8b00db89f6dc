import numpy as np
import pygame
import pytest

from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import layout
from overlays.draw.layout.seen import Part, PictureSeen
from overlays.draw.layout.theme import AMBER
from overlays.draw.marks.marks import _arrowhead, draw_marks, spot_area, spot_columns
from overlays.measure.spot.spot import SpotPlace
from tests import views

PICTURE = Area(34, 8, 480, 270)


def on(area, **turned):
    """The slope of 192x108 on an area."""
    return PictureSeen(area, Part(0, 0, 192, 108), **turned)


def test_the_spot_lies_over_its_own_pixels(measured):
    moment = measured(place=SpotPlace(96, 54, 16))
    assert spot_area(moment, on(PICTURE)) == Area(34 + 220, 8 + 115, 40, 40)
    assert spot_columns(moment, PICTURE.width) == (220, 260)


def test_a_tiny_spot_can_still_be_seen(measured):
    area = spot_area(measured(place=SpotPlace(10, 10, 2)), on(Area(0, 0, 96, 54)))
    assert min(area.width, area.height) >= 4


def test_the_frame_stands_around_the_spot_and_leaves_it_free(measured, shown):
    moment = measured(place=SpotPlace(96, 54, 16))
    surface = pygame.Surface((800, 480), 0, 32)
    made = layout(views.PICTURE, (800, 480), (1920, 1080))
    draw_marks(surface, shown(view=views.PICTURE), moment, made, on(PICTURE))
    area = spot_area(moment, on(PICTURE))
    inside = surface.subsurface((area.left, area.top, area.width, area.height))
    assert pygame.mask.from_threshold(inside, AMBER, (2, 2, 2, 255)).count() == 0
    assert pygame.mask.from_threshold(surface, AMBER, (2, 2, 2, 255)).count() > 100


@pytest.mark.parametrize("place", [SpotPlace(4, 4, 8), SpotPlace(188, 104, 8)])
def test_marks_at_the_corner_stay_on_the_picture(measured, shown, place):
    surface = pygame.Surface((800, 480), 0, 32)
    made = layout(views.EXPOSE, (800, 480), (1920, 1080))
    assert made.picture is not None
    draw_marks(surface, shown(), measured(place=place), made, on(made.picture))
    pixels = pygame.surfarray.array2d(surface).T
    picture = made.picture
    assert pixels[picture.top : picture.bottom, picture.left : picture.right].any()
    pixels[picture.top : picture.bottom, picture.left : picture.right] = 0
    assert not pixels.any()  # nothing outside the picture, where nothing would wipe it away


@pytest.mark.parametrize("points_up", [True, False])
@pytest.mark.parametrize("column", [0, 100, 105, 200, 295, 299, 390])
@pytest.mark.parametrize("row", [0, 60, 75, 120, 165, 179, 230])
def test_an_arrowhead_lies_wholly_on_the_picture_and_points_at_its_place(column, row, points_up):
    surface, inside, size = pygame.Surface((400, 240), 0, 32), Area(100, 60, 200, 120), 9
    surface.fill((1, 2, 3))
    before = pygame.surfarray.array2d(surface)
    _arrowhead(surface, (column, row), size, points_up=points_up, inside=inside)
    columns, rows = np.nonzero(pygame.surfarray.array2d(surface) != before)
    assert inside.left <= columns.min() < columns.max() < inside.right
    assert inside.top <= rows.min() < rows.max() < inside.bottom
    assert columns.max() - columns.min() == 2 * size
    assert rows.max() - rows.min() == 2 * size
    if 110 <= column < 290 and 80 <= row < 160:
        tip = rows.min() if points_up else rows.max()
        assert (tip, set(columns[rows == tip])) == (row, {column})
