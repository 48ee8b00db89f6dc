import pygame
import pytest

from firmware.screen.glass import blank, paintable
from overlays.draw.painter import Painter


def test_a_blank_one_can_be_painted_on():
    made = blank((640, 480))
    assert made.get_size() == (640, 480)
    assert paintable(made)
    Painter(made)


@pytest.mark.parametrize(
    ("bits", "masks"),
    [(16, (0xF800, 0x07E0, 0x001F, 0)), (32, (0xFF, 0xFF00, 0xFF0000, 0))],
)
def test_other_pixels_cannot(bits, masks):
    assert not paintable(pygame.Surface((640, 480), 0, bits, masks))
