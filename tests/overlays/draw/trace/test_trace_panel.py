import numpy as np
import pygame
import pytest

from overlays.draw.layout.layouts import layout
from overlays.draw.layout.lettering import Align, Letters
from overlays.draw.layout.theme import CHANNELS, GROUND, PANEL, pixel_of
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.shown import Face
from overlays.draw.trace.trace import shades
from overlays.draw.trace.trace_panel import TracePanel, free_of
from tests import views

BEHIND = (200, 100, 40)
"""A picture of one colour, on a landscape screen behind the trace."""


def painted(moment, letters, screen=(800, 480)):
    surface = pygame.Surface(screen, 0, 32)
    made = layout(views.EXPOSE, screen, (1920, 1080))
    surface.fill(BEHIND)
    TracePanel(letters).paint(surface, moment, made)
    area = made.trace
    pixels = pygame.surfarray.array2d(surface).T
    return pixels, area, made


def test_a_slope_in_the_picture_is_a_slope_in_the_trace(shown, letters):
    pixels, area, _ = painted(shown(), letters)
    trace = pixels[area.top : area.bottom, area.left : area.right]
    bright = (trace >> 8 & 255) > 90
    rows = [np.flatnonzero(bright[:, x]) for x in (60, 240, 420)]
    middles = [float(np.median(found)) for found in rows]
    assert middles[0] > middles[1] > middles[2]
    assert middles[0] - middles[2] > 0.35 * area.height  # what 360 of 800 columns rise by


@pytest.mark.parametrize("face", [Face.STALE, Face.LOST, Face.STARTING])
@pytest.mark.parametrize(("screen", "left"), [((800, 480), BEHIND), ((480, 800), PANEL)])
def test_no_level_is_shown_that_is_not_the_feeds_now(shown, letters, face, screen, left):
    pixels, area, _ = painted(shown(face=face), letters, screen)
    trace = pixels[area.top : area.bottom, area.left : area.right]
    assert (trace == pixel_of(left)).all()


def test_over_a_picture_it_shows_through_a_quarter_as_bright(shown, letters):
    pixels, area, made = painted(shown(), letters)
    assert made.is_over_picture(area)
    trace = pixels[area.top : area.bottom, area.left : area.right]
    dimmed = pixel_of(tuple(each // 4 for each in BEHIND))
    assert (trace == dimmed).mean() > 0.3
    assert not (trace == pixel_of(PANEL)).any()
    upright, area, made = painted(shown(), letters, (480, 800))
    assert not made.is_over_picture(area)
    under = upright[area.top : area.bottom, area.left : area.right]
    assert (under == pixel_of(PANEL)).mean() > 0.3


def test_three_channels_stand_side_by_side_in_their_colours(shown, letters):
    pixels, area, _ = painted(shown(trace=TraceKind.RGB), letters)
    trace = pixels[area.top : area.bottom, area.left : area.right]
    third = area.width // 3
    for index, colour in enumerate(CHANNELS):
        part = trace[:, index * third : (index + 1) * third - 1]
        shade = np.array(shades(colour)[1:])
        assert np.isin(part, shade).sum() > 200


@pytest.mark.parametrize("screen", [(480, 320), (800, 480), (480, 800)])
def test_scales_stand_on_both_sides_of_the_trace_and_nothing_outside_of_it(shown, screen):
    letters = NotingLetters()
    pixels, area, made = painted(shown(), letters, screen)
    behind = pixel_of(BEHIND)
    assert (pixels[: area.top] == behind).all()
    assert (pixels[area.bottom :] == behind).all()
    free = free_of(made)
    for align, edge in ((Align.LEFT, free.left), (Align.RIGHT, free.right)):
        texts = [text for text in letters.texts if text.align is align and text.words]
        assert len(texts) >= 2
        for text in texts:
            box = letters.area(text)
            assert abs((box.left if align is Align.LEFT else box.right) - edge) == 2
            assert free.holds(box)
            # A quiet label on a bright picture is legible only on a ground of its own.
            part = pixels[box.top : box.bottom, box.left : box.right]
            ground = pixel_of(GROUND if made.is_over_picture(area) else PANEL)
            assert (part == ground).mean() > 0.3


def test_on_a_small_screen_scales_stand_clear_of_the_readings(shown):
    letters = NotingLetters()
    _, _, made = painted(shown(), letters, (480, 320))
    assert made.trace.meets(made.readings)
    assert not any(letters.area(text).meets(made.readings) for text in letters.texts)


class NotingLetters(Letters):
    """Letters that keep what they were asked to draw."""

    def __init__(self):
        super().__init__()
        self.texts = []

    def draw(self, text, onto):
        self.texts.append(text)
        super().draw(text, onto)

    def stamp(self, ground, text, like):
        made = super().stamp(ground, text, like)
        self.texts[-1] = text  # where it goes, and not where it lies in its image
        return made


@pytest.mark.parametrize("screen", [(800, 480), (1280, 720), (1920, 1080)])
def test_each_channel_is_named_at_the_left_of_its_third(shown, screen):
    letters = NotingLetters()
    _, area, made = painted(shown(trace=TraceKind.RGB), letters, screen)
    names = [text for text in letters.texts if text.words in {"R", "G", "B"}]
    assert [(text.words, text.colour) for text in names] == list(zip("RGB", CHANNELS, strict=True))
    for index, text in enumerate(names):
        left = area.left + index * (area.width // 3)
        box = letters.area(text)
        assert 0.4 * made.theme.gap <= box.left - left <= 0.6 * made.theme.gap
        assert box.right < left + area.width // 12
        assert area.top <= box.top < area.top + box.height
