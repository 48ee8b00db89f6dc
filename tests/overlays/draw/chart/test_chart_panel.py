"""A chart as a picture."""

import colour
import numpy as np
import pygame
import pytest

from overlays.draw.chart.chart_panel import (
    ChartPanel,
    draw_corners,
    pairs_of_chart,
    screen_colour,
)
from overlays.draw.layout.lettering import Letters
from overlays.draw.layout.theme import AMBER, EDGE, PANEL, pixel_of, theme_for
from overlays.draw.layout.views import Area
from overlays.measure.chart.chart import read_chart
from overlays.measure.chart.reference import CHART24
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from tests.chart_frames import painted, upright
from tests.colour_frames import frame_of

BT709 = published_gamut("BT.709")
THEME = theme_for(1280, 720)
AREA = Area(10, 20, 760, 380)


def panel(pairs):
    surface = pygame.Surface((800, 420), 0, 32)
    ChartPanel(Letters()).paint(surface, AREA, pairs, 6, THEME)
    return pygame.surfarray.array2d(surface).T & 0xFFFFFF


@pytest.mark.parametrize("lab", [(50.0, 20.0, -30.0), (90.0, 0.0, 0.0), (40.0, -25.0, 20.0)])
def test_colours_on_the_screen_are_srgb(lab):
    xyz = colour.Lab_to_XYZ(lab, (0.3127, 0.3290))
    expected = 255.0 * colour.XYZ_to_sRGB(xyz)
    assert screen_colour(lab) == pytest.approx(tuple(np.clip(expected, 0, 255)), abs=1.0)


def test_reference_and_measured_stand_side_by_side():
    pairs = [("one", (50.0, 30.0, 0.0), (50.0, -30.0, 0.0), 40.0)] * 24
    pixels = panel(pairs)
    left, right = screen_colour(pairs[0][1]), screen_colour(pairs[0][2])
    assert pixels[40, 20] == pixel_of(left)
    assert pixels[40, 55] == pixel_of(right)
    clipped = panel([("one", (50.0, 30.0, 0.0), None, None)] * 24)
    assert clipped[40, 55] == pixel_of(EDGE)
    assert (panel([])[25:395, 15:760] == pixel_of(PANEL)).all()


def test_a_reading_is_drawn_and_its_chart_marked():
    linear = np.maximum(CHART24.linear(BT709), 1e-3)
    frame = frame_of(painted(CHART24, upright(), linear), noise=0.5)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    reading = read_chart(frame, yard, BT709, CHART24, upright())
    assert len(np.unique(panel(pairs_of_chart(reading)))) > 60
    surface = pygame.Surface((360, 260), 0, 32)
    size = (frame.columns, frame.rows)
    area = Area(0, 0, 360, 260)
    draw_corners(surface, area, reading.corners, reading, size=size, chosen=2, theme=THEME)
    pixels = pygame.surfarray.array2d(surface).T & 0xFFFFFF
    for x, y in reading.corners.points:
        part = pixels[int(y) - 14 : int(y) + 15, int(x) - 14 : int(x) + 15]
        assert (part == pixel_of(AMBER)).sum() > 10
