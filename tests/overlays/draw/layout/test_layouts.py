"""Every view on every screen, however that is turned: all of it is there, nothing is hidden."""

from dataclasses import replace
from itertools import combinations, product

import pytest

from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import layout, rests_unseen
from overlays.draw.layout.views import Arrangement
from tests import views

WIDE = [(480, 320), (800, 480), (1024, 600), (1280, 720), (1280, 800), (1920, 1080)]
HIGH = [(rows, columns) for columns, rows in WIDE]
SCREENS = [*WIDE, *HIGH]
PICTURES = [(1920, 1080), (1280, 720), (3840, 2160), (720, 576), (1080, 1920), (641, 357), (2, 2)]
TAKES = [view for view in views.VIEWS if view.arrangement.name.startswith(("TRACE", "CORNER"))]
"""Views that are used during a take."""


def areas(made):
    named = (made.picture, made.trace, made.readings, made.panel, made.foot)
    return [area for area in named if area is not None]


@pytest.mark.parametrize("view", views.VIEWS)
@pytest.mark.parametrize("has_rail", [False, True])
@pytest.mark.parametrize("gives_way", [False, True])
def test_everything_is_on_the_screen_and_has_a_size(view, has_rail, gives_way):
    for screen, picture in product(SCREENS, PICTURES):
        made = layout(view, screen, picture, has_rail=has_rail, gives_way=gives_way)
        for area in areas(made):
            assert made.screen.holds(area), (screen, picture)
            assert min(area.width, area.height) >= 1, (screen, picture)


@pytest.mark.parametrize("view", views.VIEWS)
@pytest.mark.parametrize("gives_way", [False, True])
def test_nothing_but_the_picture_lies_under_anything(view, gives_way):
    for screen, picture in product(SCREENS, PICTURES):
        made = layout(view, screen, picture, gives_way=gives_way)
        if view.arrangement is Arrangement.PICTURE and screen[0] > screen[1]:
            continue  # its plate is made to leave room for warnings
        beside = [area for area in areas(made) if area != made.picture]
        if min(screen) < 400 and made.trace is not None:
            beside.remove(made.trace)  # readings lie over what they hide of the picture
        for one, other in combinations(beside, 2):
            assert not one.meets(other), (screen, picture)


@pytest.mark.parametrize("view", views.VIEWS)
@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("picture", PICTURES)
def test_the_rail_lies_over_no_number_and_no_warning(view, screen, picture):
    made = layout(view, screen, picture, has_rail=True)
    strip = Area(made.rail.left, made.rail.top, made.rail.width, made.rail.height)
    assert made.screen.holds(strip)
    assert strip.bottom == made.screen.bottom
    assert not any(strip.meets(area) for area in areas(made) if area != made.picture)


@pytest.mark.parametrize("view", views.VIEWS)
@pytest.mark.parametrize("screen", SCREENS)
def test_the_picture_stays_where_it_is_when_the_rail_comes(view, screen):
    for picture in PICTURES:
        resting = layout(view, screen, picture)
        made = layout(view, screen, picture, has_rail=True)
        assert made.picture == resting.picture
        if made.trace is not None:
            assert made.trace.top == resting.trace.top
            assert made.trace.height >= 0.1 * screen[1]


@pytest.mark.parametrize("view", TAKES)
@pytest.mark.parametrize("screen", SCREENS)
def test_during_a_take_the_picture_has_most_of_the_screen_or_all_of_its_width(view, screen):
    made = layout(view, screen, (1920, 1080))
    share = made.picture.width * made.picture.height / (screen[0] * screen[1])
    assert share >= 0.7 or made.picture.width == screen[0]


@pytest.mark.parametrize("view", TAKES)
@pytest.mark.parametrize("screen", SCREENS)
def test_what_is_free_of_the_picture_is_free(view, screen):
    for picture, gives_way in product(PICTURES, (False, True)):
        made = layout(view, screen, picture, gives_way=gives_way)
        shown = made.picture
        # A flat picture on an upright screen has free screen above it, and nothing else there.
        above = shown.top if screen[1] > screen[0] else 0
        whole = replace(shown, top=shown.top - above, height=shown.height + above)
        assert whole.holds(made.clear)
        assert not made.clear.meets(made.readings)
        assert made.trace is None or not made.clear.meets(made.trace)


@pytest.mark.parametrize("picture", PICTURES)
@pytest.mark.parametrize("screen", SCREENS)
def test_the_trace_is_column_for_column_that_of_the_picture(screen, picture):
    made = layout(views.EXPOSE, screen, picture)
    assert (made.trace.left, made.trace.right) == (made.picture.left, made.picture.right)


@pytest.mark.parametrize("screen", SCREENS)
def test_the_picture_keeps_its_shape(screen):
    for view in views.VIEWS:
        made = layout(view, screen, (1920, 1080)).picture
        assert made is None or made.width / made.height == pytest.approx(16 / 9, rel=0.015)


def test_the_picture_view_fills_the_screen():
    assert layout(views.PICTURE, (1280, 720), (1920, 1080)).picture == Area(0, 0, 1280, 720)


def test_the_rail_goes_away_where_the_picture_is_what_one_looks_at():
    unseen = {view.name for view in views.VIEWS if rests_unseen(view)}
    assert unseen == {view.name for view in views.VIEWS} - {"target", "chart"}
