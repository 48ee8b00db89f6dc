"""A chart as a picture."""

from itertools import pairwise

import colour
import numpy as np
import pygame
import pytest

from overlays.draw.chart.chart_panel import (
    REACH,
    ChartPanel,
    draw_corners,
    pairs_of_chart,
    screen_colour,
)
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Letters
from overlays.draw.layout.seen import Part, PictureSeen
from overlays.draw.layout.theme import AMBER, EDGE, LINE, PANEL, QUIET, TEXT, pixel_of, theme_for
from overlays.measure.chart.chart import read_chart
from overlays.measure.chart.place import Corners
from overlays.measure.chart.reference import CHART24
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from overlays.wording.numbers import UNKNOWN
from overlays.wording.reasons import Reason
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


WANTED, FOUND = (50.0, 60.0, 0.0), (50.0, -60.0, 0.0)


def runs(line, colour):
    """(first, one behind the last) of each run of a colour along a line of pixels."""
    is_there = np.concatenate([[False], line == pixel_of(screen_colour(colour)), [False]])
    edges = np.flatnonzero(is_there[1:] != is_there[:-1])
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def sides(pixels):
    """Where the disc begins, its rim being the only line of its colour on the middle row."""
    middle = AREA.top + AREA.height // 2
    rim = np.flatnonzero(pixels[middle, AREA.left : AREA.right] == pixel_of(LINE))
    return AREA.left + int(rim.min()), AREA.left + int(rim.max())


def test_swatches_fill_the_left_in_equal_halves_and_end_before_the_disc():
    pixels = panel([("one", WANTED, FOUND, 40.0)] * 24)
    side = min(AREA.height, AREA.width // 2)
    row = pixels[AREA.top + 10, : AREA.right - side]
    wanted, found = runs(row, WANTED), runs(row, FOUND)
    assert len(wanted) == len(found) == 6
    for (first, middle), (second, last) in zip(wanted, found, strict=True):
        assert middle == second
        assert abs((middle - first) - (last - second)) <= 1
    pitch = wanted[1][0] - wanted[0][0]
    assert all(b[0] - a[0] == pitch for a, b in pairwise(wanted))
    # From the panel's left edge to a gap before the disc's square: six to a row, none wider.
    width = AREA.width - side - THEME.gap
    assert pitch == width // 6
    assert found[-1][1] <= AREA.left + width
    assert wanted[0][0] - AREA.left < THEME.gap
    assert AREA.left + width - found[-1][1] < THEME.gap + 6
    columns = pixels[AREA.top : AREA.bottom, wanted[0][0] + 2]
    assert len(runs(columns, WANTED)) == 4


def test_the_disc_fills_its_square_to_the_rim():
    pixels = panel([("one", (50.0, 0.0, 0.0), None, None)] * 24)
    side = min(AREA.height, AREA.width // 2)
    left, right = sides(pixels)
    assert AREA.right - side <= left <= AREA.right - side + 3
    assert AREA.right - 4 <= right < AREA.right
    column = AREA.right - side // 2 + side // 5  # past the vertical line and its letters
    lines = np.flatnonzero(pixels[:, column] == pixel_of(LINE))
    half_chord = ((side / 2) ** 2 - (side / 5) ** 2) ** 0.5
    centre = AREA.top + AREA.height / 2
    assert lines.min() == pytest.approx(centre - half_chord, abs=4.0)
    assert lines.max() == pytest.approx(centre + half_chord, abs=4.0)


@pytest.mark.parametrize(("a", "b"), [(45.0, 0.0), (-45.0, 0.0), (0.0, 45.0), (0.0, -45.0)])
def test_a_patch_stands_on_the_disc_where_its_a_and_b_say(a, b):
    # CIE 1976 L*a*b*: a* to the right, b* upwards; half of the disc's reach is half of its radius.
    pixels = panel([("one", (60.0, a, b), None, None)])
    side = min(AREA.height, AREA.width // 2)
    rows, columns = np.nonzero(pixels == pixel_of(screen_colour((60.0, a, b))))
    on_disc = columns >= AREA.right - side
    x, y = columns[on_disc].mean(), rows[on_disc].mean()
    share = 45.0 / REACH * side / 2
    assert x == pytest.approx(AREA.right - side / 2 + np.sign(a) * share, abs=4.0)
    assert y == pytest.approx(AREA.top + AREA.height / 2 - np.sign(b) * share, abs=4.0)


def test_a_ring_about_what_is_wanted_leaves_room_for_what_was_found():
    """As wide as its radius of seven at 720 rows says: a dot of half of that lies within it."""
    wanted = (50.0, 60.0, 0.0)
    pixels = panel([("one", wanted, None, None)])
    rows, columns = np.nonzero(pixels == pixel_of(screen_colour(wanted)))
    on_disc = columns > 500  # at the left lies its swatch
    assert np.ptp(columns[on_disc]) + 1 == pytest.approx(2 * round(7 * THEME.scale), abs=1)
    assert np.ptp(rows[on_disc]) + 1 == pytest.approx(2 * round(7 * THEME.scale), abs=1)


def test_a_reading_is_drawn_and_its_chart_marked():
    linear = np.maximum(CHART24.linear(BT709), 1e-3)
    frame = frame_of(painted(CHART24, upright(), linear), noise=0.5)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    reading = read_chart(frame, yard, BT709, CHART24, upright())
    assert len(np.unique(panel(pairs_of_chart(reading)))) > 60
    surface = pygame.Surface((360, 260), 0, 32)
    seen = PictureSeen(Area(0, 0, 360, 260), Part(0, 0, frame.columns, frame.rows))
    draw_corners(surface, seen, reading.corners, reading, chosen=2, theme=THEME)
    pixels = pygame.surfarray.array2d(surface).T & 0xFFFFFF
    for x, y in reading.corners.points:
        part = pixels[int(y) - 14 : int(y) + 15, int(x) - 14 : int(x) + 15]
        assert (part == pixel_of(AMBER)).sum() > 10


def test_an_outline_that_leaves_the_picture_is_cut_at_its_edge():
    """What stands beside the picture, and reads as numbers, is not drawn over."""
    surface = pygame.Surface((400, 300), 0, 32)
    surface.fill(PANEL)
    area = Area(100, 50, 200, 150)
    outside = Corners(((-40.0, -30.0), (240.0, -20.0), (230.0, 180.0), (-30.0, 190.0)))
    seen = PictureSeen(area, Part(0, 0, 200, 150))
    draw_corners(surface, seen, outside, None, chosen=0, theme=THEME)
    inner = Corners(((20.0, 20.0), (240.0, 20.0), (240.0, 100.0), (20.0, 100.0)))
    draw_corners(surface, seen, inner, None, chosen=0, theme=THEME)
    pixels = pygame.surfarray.array2d(surface).T & 0xFFFFFF
    picture = np.zeros(pixels.shape, bool)
    picture[area.top : area.bottom, area.left : area.right] = True
    assert (pixels[~picture] == pixel_of(PANEL)).all()
    assert (pixels[picture] == pixel_of(AMBER)).any()


@pytest.mark.parametrize(
    ("error", "ink"), [(2.9, QUIET), (3.0, TEXT), (4.0, TEXT), (None, TEXT), (0.4, QUIET)]
)
def test_a_patch_that_is_off_by_three_is_not_told_quietly(error, ink):
    inks = []

    class Kept(Letters):
        def draw(self, text, surface):
            inks.append(text.colour)
            super().draw(text, surface)

    grey = (50.0, 0.0, 0.0)
    pairs = [("A1", grey, None if error is None else grey, error)]
    ChartPanel(Kept()).paint(pygame.Surface((800, 420), 0, 32), AREA, pairs, 4, THEME)
    assert inks[0] == ink


@pytest.mark.parametrize(("columns", "words"), [(4, Reason.CLIPPED.words), (10, UNKNOWN)])
def test_a_clipped_patch_has_its_reason_or_a_sign_but_no_number(columns, words):
    """Under a swatch that is too narrow for the word stands the sign: it is never cut."""
    said = []

    class Kept(Letters):
        def draw(self, text, surface):
            said.append((text.words, self.width(text.words, text.pixels)))
            super().draw(text, surface)

    grey = (50.0, 0.0, 0.0)
    pairs = [("A1", grey, None, None), ("A2", grey, (50.0, 1.0, 0.0), 1.0)]
    ChartPanel(Kept()).paint(pygame.Surface((800, 420), 0, 32), AREA, pairs, columns, THEME)
    assert [text for text, _ in said[:2]] == [words, "1.0"]
    assert all(width <= AREA.width // columns for _, width in said[:2])
