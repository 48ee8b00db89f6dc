import pytest

from overlays.draw.layout.areas import Area
from overlays.draw.layout.arrangement import Bounds
from overlays.draw.layout.theme import TextSize, theme_for


@pytest.mark.parametrize(
    ("size", "is_upright", "is_small"),
    [((480, 320), False, True), ((320, 480), True, True), ((800, 480), False, False)],
)
def test_bounds_know_how_the_screen_stands_and_whether_it_is_small(size, is_upright, is_small):
    room = Bounds(Area(0, 0, *size), theme_for(*size), 300, 320, 310)
    assert (room.is_upright, room.is_small) == (is_upright, is_small)
    assert room.ems(10.0) == 10 * room.theme.text_pixels(TextSize.TINY)
