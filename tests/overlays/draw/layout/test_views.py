from fractions import Fraction
from itertools import product

import pytest

from overlays.draw.layout.areas import CHEAP_ENOUGH, CHEAP_RATIOS, Area, cheaply_fitted, fitted
from overlays.draw.layout.layouts import LEAST_READINGS, layout
from overlays.draw.picture.taps import SMALL_RATIOS
from tests import views

SCREENS = [(800, 480), (1024, 600), (1280, 720), (1280, 800), (1920, 1080)]
PICTURES = [(1920, 1080), (1280, 720), (3840, 2160), (720, 576), (1080, 1920), (641, 357), (2, 2)]


def areas(made):
    named = (
        *(made.picture, made.trace, made.percent_scale, made.stops_scale),
        *(made.readings, made.panel),
    )
    return [area for area in named if area is not None]


def beside_the_rail(made):
    """All that the rail must not lie over; in the picture view it lies over the picture."""
    strip = Area(made.rail.left, made.rail.top, made.rail.width, made.rail.height)
    return strip, [made.readings, made.foot, *(a for a in areas(made) if a != made.picture)]


@pytest.mark.parametrize("view", views.VIEWS)
def test_everything_is_on_the_screen_and_has_a_size(view):
    for screen, picture in product(SCREENS, PICTURES):
        made = layout(view, screen, picture)
        for area in areas(made):
            assert made.screen.holds(area), (screen, picture)
            assert min(area.width, area.height) >= 1, (screen, picture)


@pytest.mark.parametrize("view", [view for view in views.VIEWS if view is not views.PICTURE])
def test_nothing_overlaps_beside_the_picture(view):
    for screen, picture in product(SCREENS, PICTURES):
        placed = areas(layout(view, screen, picture))
        for index, one in enumerate(placed):
            assert not any(one.meets(other) for other in placed[index + 1 :]), (screen, picture)


@pytest.mark.parametrize("picture", PICTURES)
@pytest.mark.parametrize("screen", SCREENS)
def test_the_trace_hangs_under_the_picture_column_for_column(screen, picture):
    made = layout(views.EXPOSE, screen, picture)
    assert made.picture is not None
    assert made.trace is not None
    assert (made.trace.left, made.trace.right) == (made.picture.left, made.picture.right)
    assert 0 < made.trace.top - made.picture.bottom <= made.theme.gap
    assert made.trace.height >= 0.25 * screen[1]


@pytest.mark.parametrize("picture", PICTURES)
@pytest.mark.parametrize("screen", [(480, 320), *SCREENS])
def test_the_picture_stays_where_it_is_when_the_rail_comes(screen, picture):
    resting = layout(views.EXPOSE, screen, picture)
    made = layout(views.EXPOSE, screen, picture, has_rail=True)
    assert made.picture == resting.picture
    assert 0.15 * screen[1] <= made.trace.height < resting.trace.height


@pytest.mark.parametrize("picture", PICTURES)
@pytest.mark.parametrize("screen", [(480, 320), *SCREENS])
@pytest.mark.parametrize("view", views.VIEWS)
def test_the_rail_lies_over_no_number_and_no_warning(view, screen, picture):
    made = layout(view, screen, picture, has_rail=True)
    strip, others = beside_the_rail(made)
    assert made.screen.holds(strip)
    assert strip.bottom == made.screen.bottom
    assert not any(strip.meets(other) for other in others)


@pytest.mark.parametrize("screen", SCREENS)
def test_the_match_view_has_trace_and_panel_in_one_line(screen):
    made = layout(views.MATCH, screen, (1920, 1080))
    assert made.panel is not None
    assert made.panel.bottom == made.trace.bottom
    assert made.panel.top >= made.trace.top
    assert made.picture == layout(views.EXPOSE, screen, (1920, 1080)).picture


@pytest.mark.parametrize("screen", SCREENS)
def test_readings_of_the_expose_view_get_their_share_of_the_width(screen):
    assert layout(views.EXPOSE, screen, (1920, 1080)).readings.width >= 0.23 * screen[0]


def test_on_the_smallest_screen_the_picture_makes_room_for_numbers():
    made = layout(views.EXPOSE, (480, 320), (1920, 1080))
    assert made.readings.width >= LEAST_READINGS - made.theme.gap
    assert made.picture is not None
    assert made.picture.width >= 0.4 * 480


@pytest.mark.parametrize("screen", SCREENS)
def test_the_picture_keeps_its_shape(screen):
    for view in (views.EXPOSE, views.PICTURE):
        made = layout(view, screen, (1920, 1080)).picture
        assert made is not None
        assert made.width / made.height == pytest.approx(16 / 9, rel=0.01)


@pytest.mark.parametrize(
    ("screen", "picture", "ratio"),
    [
        ((800, 480), (1920, 1080), Fraction(4)),
        ((1280, 720), (1920, 1080), Fraction(5, 2)),
        ((1920, 1080), (1920, 1080), Fraction(3, 2)),
        ((1280, 720), (768, 432), Fraction(1)),
        ((1280, 720), (1600, 900), Fraction(2)),
        ((1280, 720), (2400, 1350), Fraction(3)),
    ],
)
def test_a_picture_is_exposed_at_a_ratio_with_a_loop_of_its_own(screen, picture, ratio):
    made = layout(views.EXPOSE, screen, picture).picture
    assert made is not None
    assert Fraction(picture[0], made.width) == Fraction(picture[1], made.height) == ratio
    assert (ratio.numerator, ratio.denominator) in SMALL_RATIOS


def test_the_ratios_that_are_cheap_are_those_with_a_loop_of_their_own():
    assert sorted(CHEAP_RATIOS) == sorted(SMALL_RATIOS)


def test_the_picture_view_fills_the_screen():
    assert layout(views.PICTURE, (1280, 720), (1920, 1080)).picture == Area(0, 0, 1280, 720)


@pytest.mark.parametrize(("wide", "high"), PICTURES)
def test_a_cheap_size_is_not_much_smaller_than_the_best(wide, high):
    best, cheap = fitted(wide, high, 853, 480), cheaply_fitted(wide, high, 853, 480)
    assert CHEAP_ENOUGH * best[0] - 2 <= cheap[0] <= best[0]


def test_areas_know_what_they_hold_and_meet():
    area = Area(10, 10, 20, 20)
    assert area.holds(area.inset(3))
    assert not area.inset(3).holds(area)
    assert area.meets(Area(29, 29, 5, 5))
    assert not area.meets(Area(30, 10, 5, 5))
