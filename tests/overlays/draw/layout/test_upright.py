"""On a screen that is higher than wide everything stands under the picture."""

import pytest

from overlays.draw.layout.layouts import layout
from tests import views

SCREENS = [(320, 480), (480, 800), (600, 1024), (720, 1280), (1080, 1920)]
HD = (1920, 1080)
WITH_PICTURE = [view for view in views.VIEWS if view.arrangement.name != "NUMBER"]


@pytest.mark.parametrize("view", WITH_PICTURE)
@pytest.mark.parametrize("screen", SCREENS)
def test_the_picture_has_all_of_the_width_and_nothing_lies_over_it(view, screen):
    made = layout(view, screen, HD)
    assert (made.picture.left, made.picture.top, made.picture.width) == (0, 0, screen[0])
    assert made.clear == made.picture
    for area in (made.trace, made.panel, made.readings):
        assert area is None or area.top >= made.picture.bottom


@pytest.mark.parametrize("screen", SCREENS)
def test_trace_and_readings_follow_each_other_down_the_screen(screen):
    made = layout(views.EXPOSE, screen, HD)
    assert made.picture.bottom <= made.trace.top
    assert made.trace.bottom <= made.readings.top
    assert made.readings.bottom <= made.foot.top
    assert made.readings.height >= 0.2 * screen[1]


@pytest.mark.parametrize("screen", SCREENS[1:])
@pytest.mark.parametrize("view", [views.MATCH, views.BALANCE, views.CHART])
def test_a_panel_leaves_room_for_readings(view, screen):
    made = layout(view, screen, HD)
    assert made.panel.height >= 0.12 * screen[1]
    assert made.readings.width * made.readings.height >= 0.1 * screen[0] * screen[1]


@pytest.mark.parametrize("screen", SCREENS)
def test_an_upright_picture_leaves_half_of_the_screen_to_all_else(screen):
    made = layout(views.EXPOSE, screen, (1080, 1920))
    assert made.picture.height <= 0.5 * screen[1] + 2
    assert abs(2 * made.picture.left + made.picture.width - screen[0]) <= 1
