import numpy as np
import pygame
import pytest

from overlays.draw.layout.layouts import layout
from overlays.draw.layout.lettering import Align, Letters
from overlays.draw.layout.theme import CHANNELS, GROUND, PANEL, pixel_of
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.shown import Face
from overlays.draw.trace.trace import shades
from overlays.draw.trace.trace_panel import TracePanel
from tests import views


def painted(moment, letters, screen=(800, 480)):
    surface = pygame.Surface(screen, 0, 32)
    made = layout(views.EXPOSE, screen, (1920, 1080))
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
    assert area.height * 0.8 < middles[0] - middles[2] + area.height * 0.3


@pytest.mark.parametrize("face", [Face.STALE, Face.LOST, Face.STARTING])
def test_no_level_is_shown_that_is_not_the_feeds_now(shown, letters, face):
    pixels, area, _ = painted(shown(face=face), letters)
    trace = pixels[area.top : area.bottom, area.left : area.right]
    assert (trace == pixel_of(PANEL)).all()


def test_three_channels_stand_side_by_side_in_their_colours(shown, letters):
    pixels, area, _ = painted(shown(trace=TraceKind.RGB), letters)
    trace = pixels[area.top : area.bottom, area.left : area.right]
    third = area.width // 3
    for index, colour in enumerate(CHANNELS):
        part = trace[:, index * third : (index + 1) * third - 1]
        shade = np.array(shades(colour)[1:])
        assert np.isin(part, shade).sum() > 200


def test_scales_stand_on_both_sides_and_nowhere_else(shown, letters):
    pixels, area, made = painted(shown(), letters)
    left, right = made.percent_scale, made.stops_scale
    rows = slice(area.top, area.bottom)
    assert len(np.unique(pixels[rows, left.left : left.right])) > 3
    assert len(np.unique(pixels[rows, right.left : right.right])) > 3
    assert not pixels[: area.top].any()
    assert not pixels[:, right.right :].any()


def test_scales_are_painted_again_when_they_have_been_painted_over(shown, letters):
    surface = pygame.Surface((800, 480), 0, 32)
    made = layout(views.EXPOSE, (800, 480), (1920, 1080))
    panel, moment = TracePanel(letters), shown()
    panel.paint(surface, moment, made)
    first = pygame.surfarray.array2d(surface)
    surface.fill((0, 0, 0))
    panel.forget()
    panel.paint(surface, moment, made)
    np.testing.assert_array_equal(pygame.surfarray.array2d(surface), first)


class NotingLetters(Letters):
    """Letters that keep what they were asked to draw."""

    def __init__(self):
        super().__init__()
        self.texts = []

    def draw(self, text, onto):
        self.texts.append(text)
        super().draw(text, onto)


@pytest.mark.parametrize("screen", [(800, 480), (1280, 720), (1920, 1080)])
def test_labels_stand_clear_of_their_ticks_on_the_side_away_from_the_trace(shown, screen):
    letters = NotingLetters()
    pixels, trace, made = painted(shown(), letters, screen)
    for area, align in ((made.percent_scale, Align.RIGHT), (made.stops_scale, Align.LEFT)):
        part = pixels[area.top : area.bottom, area.left : area.right]
        part = part if align is Align.LEFT else part[:, ::-1]  # now the trace is at the left
        rows = np.flatnonzero(part[:, 0] != pixel_of(GROUND))
        assert rows.size > 4
        texts = [text for text in letters.texts if text.align is align and text.words]
        assert len(texts) > 4
        ticks = {int(np.argmax(part[row] != part[row, 0])) for row in rows}
        (tick,) = ticks
        assert 3 <= tick < area.width // 3
        for text in texts:
            box = letters.area(text)
            beside = box.left - trace.right if align is Align.LEFT else trace.left - box.right
            assert beside == 2 * tick, text
            assert area.top <= box.top, text
            assert box.bottom <= area.bottom, text


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
