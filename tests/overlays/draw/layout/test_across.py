"""On a screen that is wider than high instruments lie over the edges of the picture."""

import pytest

from overlays.draw.layout.layouts import layout
from tests import views

SCREENS = [(800, 480), (1024, 600), (1280, 720), (1920, 1080)]
HD = (1920, 1080)


@pytest.mark.parametrize("screen", [(480, 320), *SCREENS])
def test_readings_stand_at_the_right_and_at_the_left_where_they_give_way(screen):
    right = layout(views.EXPOSE, screen, HD)
    left = layout(views.EXPOSE, screen, HD, gives_way=True)
    assert right.picture == left.picture
    assert right.trace == left.trace
    assert left.readings.right <= left.clear.left
    assert right.clear.right <= right.readings.left
    assert left.readings.width == right.readings.width >= 0.23 * screen[0]
    assert right.clear.width >= 0.66 * screen[0]


@pytest.mark.parametrize("screen", SCREENS)
def test_beside_a_narrow_picture_readings_have_the_whole_height_and_hide_nothing(screen):
    made = layout(views.EXPOSE, screen, (1080, 1080))
    assert not made.readings.meets(made.picture)
    assert made.readings.height > 0.85 * screen[1]
    assert made.clear.right == made.picture.right


@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("gives_way", [False, True])
@pytest.mark.parametrize("view", [views.MATCH, views.BALANCE])
def test_a_panel_stands_in_the_corner_that_readings_leave_free(screen, gives_way, view):
    made = layout(view, screen, HD, gives_way=gives_way)
    panel, clear = made.panel, made.clear
    assert clear.holds(panel)
    assert panel.width == panel.height >= 0.25 * screen[1]
    assert panel.bottom == clear.bottom
    assert (panel.right == clear.right) if gives_way else (panel.left == clear.left)
    assert clear.beside(panel).width >= 0.25 * screen[0]


def test_a_small_screen_has_no_panel_beside_a_trace_and_readings_lie_over_the_trace():
    made = layout(views.MATCH, (480, 320), HD)
    assert made.panel is None
    assert made.readings.meets(made.trace)
    assert made.readings.height > layout(views.MATCH, (800, 480), HD).readings.height * 320 / 480


@pytest.mark.parametrize("screen", SCREENS)
def test_under_a_smaller_picture_a_table_has_the_width_of_the_screen(screen):
    made = layout(views.CHART, screen, HD)
    assert made.panel.width >= 0.97 * screen[0]
    assert made.panel.height >= 0.4 * screen[1]
    assert made.picture.width >= 0.35 * screen[0]
    assert made.readings.width >= 0.4 * screen[0]
