from itertools import pairwise

import pytest

from overlays.draw.layout.rail_room import BUTTONS, TARGET_MM, TARGET_SHARE, rail_room
from overlays.draw.layout.theme import Theme, theme_for

SCREENS = [(320, 240), (480, 320), (800, 480), (1024, 600), (1280, 720), (1920, 1080), (480, 800)]


@pytest.mark.parametrize("size", SCREENS)
def test_four_labels_share_the_width_and_stand_at_the_lower_edge(size):
    room = rail_room(size[0], size[1], theme_for(*size))
    edges = [room.edge(button) for button in range(BUTTONS + 1)]
    assert (edges[0], edges[-1], room.bottom) == (0, *size)
    widths = [right - left for left, right in pairwise(edges)]
    assert max(widths) - min(widths) <= 1
    assert room.height < 0.16 * size[1]


@pytest.mark.parametrize("size", SCREENS)
def test_a_finger_finds_each_label(size):
    room = rail_room(size[0], size[1], theme_for(*size))
    assert room.bottom - room.target_top >= TARGET_SHARE * min(size)
    for button in range(BUTTONS):
        for across in (room.edge(button), room.edge(button + 1) - 1):
            assert room.button_at((across, room.target_top)) == button
            assert room.button_at((across, size[1] - 1)) == button
    assert room.button_at((0, room.target_top - 1)) is None
    assert room.button_at((-1, size[1] - 1)) is None
    assert room.button_at((0, size[1])) is None


@pytest.mark.parametrize("per_mm", [3.0, 6.5, 12.0])
def test_where_the_panel_is_stated_it_is_nine_millimetres(per_mm):
    room = rail_room(800, 480, Theme(per_mm=per_mm))
    assert room.bottom - room.target_top >= TARGET_MM * per_mm
    assert room.target_top <= room.top
