"""The grid: marks tell brighter from darker by shape and lightness, never by hue."""

import numpy as np
import pygame
import pytest

from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Letters
from overlays.draw.layout.palette import SIGHTS, contrast_ratio, linear_rgb
from overlays.draw.layout.seen import Part, PictureSeen
from overlays.draw.layout.theme import (
    EDGE,
    GROUND,
    LEAST_CONTRAST_TEXT,
    TEXT,
    pixel_of,
    theme_for,
)
from overlays.draw.marks.evenness_map import draw_evenness
from overlays.draw.painter import MASKS
from overlays.measure.pins.lighting import Evenness
from overlays.measure.spot.spot import SpotPlace

PICTURE = Area(40, 20, 640, 360)
GREY = 0x808080
FEED = (1920, 1080)


MIDDLE = SpotPlace(960, 540, 960, 480)


def even(stops, place=MIDDLE):
    stops = np.asarray(stops, float)
    known = np.where(np.isnan(stops), 0.0, stops)
    at = [
        tuple(int(n) for n in np.unravel_index(i, stops.shape))
        for i in (known.argmax(), known.argmin())
    ]
    return Evenness(stops, 0.1, 0.01, 0.2, 0.01, at[0], at[1], place, ())


def drawn(found, picture=PICTURE, screen=(1280, 720)):
    surface = pygame.Surface((720, 400), 0, 32, (*MASKS, 0))
    surface.fill(GREY)
    draw_evenness(
        surface, Letters(), found, PictureSeen(picture, Part(0, 0, *FEED)), theme_for(*screen)
    )
    return pygame.surfarray.array2d(surface).T & 0xFFFFFF


def area_of(found, at):
    """A cell on the screen by arithmetic: a third of the feed's pixels, from the corner."""
    cell = found.cell(*at)
    return (
        slice(20 + cell.top // 3, 20 + (cell.top + cell.rows) // 3),
        slice(40 + cell.left // 3, 40 + (cell.left + cell.size) // 3),
    )


def heights(part, colour):
    """Mean row and width by row of a colour in the upper half of a cell."""
    part = part[6 : part.shape[0] - 24, 6:-6]
    rows = (part == pixel_of(colour)).sum(axis=1)
    return rows[rows > 0]


FLAT = [[0.0] * 4, [0.0] * 4]


def with_cell(stops, at=(0, 1)):
    values = np.array(FLAT)
    values[at] = stops
    return even(values)


def test_brighter_is_light_and_points_up_darker_is_dark_and_points_down():
    found = with_cell(0.3)
    light = heights(drawn(found)[area_of(found, (0, 1))], TEXT)
    assert light[-1] > light[0]
    found = with_cell(-0.3)
    dark = heights(drawn(found)[area_of(found, (0, 1))], EDGE)
    assert dark[-1] < dark[0]


def test_the_two_are_told_apart_by_lightness_for_every_sight():
    for seen in SIGHTS.values():
        light, dark = np.clip(linear_rgb([TEXT, EDGE]) @ seen.T, 0.0, 1.0)
        as_seen = [tuple(round(255 * v ** (1 / 2.2)) for v in each) for each in (light, dark)]
        assert contrast_ratio(*as_seen) > LEAST_CONTRAST_TEXT


def test_a_mark_grows_with_the_difference_up_to_a_third_of_a_stop():
    sizes = []
    for stops in (0.05, 0.15, 1.0 / 3.0, 2.0):
        found = with_cell(stops)
        sizes.append(int(heights(drawn(found)[area_of(found, (0, 1))], TEXT).max()))
    assert sizes[0] < sizes[1] < sizes[2] == sizes[3]


def test_figures_stand_in_cells_that_have_room_for_them():
    found = with_cell(0.3)
    part = drawn(found)[area_of(found, (0, 2))]
    assert (part[-20:] == pixel_of(GROUND)).any()
    small = even(FLAT, SpotPlace(960, 540, 300, 150))
    assert not (drawn(small) == pixel_of(GROUND)).any()
    assert (drawn(small) == pixel_of(TEXT)).any()


def test_in_very_small_cells_only_the_furthest_is_framed():
    found = even([[0.2, 0.0, 0.0, -0.1]] * 2, SpotPlace(960, 540, 100, 50))
    pixels = drawn(found)
    assert (pixels[area_of(found, (0, 2))][3:-1, 1:-1] == GREY).all()
    assert (pixels == pixel_of(TEXT)).any()


def test_the_furthest_cell_is_framed():
    found = with_cell(-0.3, (1, 2))
    pixels, other = drawn(found), drawn(with_cell(-0.3, (0, 0)))
    rows, columns = area_of(found, (1, 2))
    edge = np.s_[rows.start + 1, columns.start + 4 : columns.stop - 4]
    assert (pixels[edge] == pixel_of(TEXT)).all()
    assert not (other[edge] == pixel_of(TEXT)).any()


def test_a_cell_without_light_has_a_dot_and_a_word():
    found = even([[0.1, np.nan, 0.0, 0.0], [0.0] * 4])
    assert (drawn(found)[area_of(found, (0, 1))] == pixel_of(TEXT)).any()


@pytest.mark.parametrize("place", [SpotPlace(960, 540, 1920, 1080), SpotPlace(20, 20, 40, 40)])
@pytest.mark.parametrize("screen", [(480, 320), (1280, 720), (1920, 1080)])
def test_nothing_is_drawn_outside_of_the_picture(place, screen):
    changed = drawn(even(FLAT, place), screen=screen) != GREY
    inside = np.zeros_like(changed)
    inside[20:380, 40:680] = True
    assert changed.any()
    assert not changed[~inside].any()
