"""What is written can be read: contrast of every line against what is really under it."""

import numpy as np
import pygame
import pytest

from overlays.draw.layout.lettering import Letters, Text
from overlays.draw.layout.palette import contrast_ratio, linear_rgb
from overlays.draw.layout.theme import AMBER, LEAST_CONTRAST_TEXT, PANEL, RED_WORDS
from tests.golden.playing import Sheet
from tests.moments import every_view
from tests.states import CHIPS, PLAIN, states

WHITE = "bench:size=640x360,rate=2,exposure=9"
"""A picture that is white nearly everywhere: the worst to write on."""
Y = np.array([0.2126, 0.7152, 0.0722])
"""Relative luminance of linear sRGB (W3C, WCAG 2.2)."""


class Seen(Sheet):
    """A screen in memory that looks at what each line is written on."""

    def __init__(self, size):
        super().__init__(size)
        self.least: dict[str, float] = {}
        self.where = ""
        self.painter._letters.draw = self.draw  # type: ignore[method-assign]

    def draw(self, text, onto):
        letters = self.painter._letters
        area = letters.area(text)
        box = pygame.Rect(area.left, area.top, area.width, area.height).clip(onto.get_rect())
        if text.words.strip() and box.width and box.height:
            under = np.unique(pygame.surfarray.array2d(onto.subsurface(box)) & 0xFFFFFF)
            rgb = np.stack([under >> 16 & 255, under >> 8 & 255, under & 255], axis=-1)
            ground, ink = linear_rgb(rgb) @ Y + 0.05, linear_rgb([text.colour]) @ Y + 0.05
            least = float(np.minimum.reduce(np.maximum(ground / ink, ink / ground)))
            self.least[f"{self.where}: {text.words}"] = least
        Letters.draw(letters, text, onto)


@pytest.mark.parametrize(
    ("feed", "size"), [(WHITE, (480, 320)), (PLAIN, (800, 480)), (WHITE, (800, 480))]
)
def test_every_line_has_its_contrast_in_every_view_and_state(feed, size):
    sheet = Seen(size)
    views = set()

    def look(shown):
        every = {"live": shown} if shown.view.name in views else states(shown)
        views.add(shown.view.name)
        for name, moment in every.items():
            sheet.where = f"{shown.view.name}, {name}"
            sheet.painter._foot = []  # laid anew
            sheet.paint(moment)

    every_view(feed, None, look, pins=CHIPS)
    assert len(sheet.least) > 500
    poor = {where: round(at, 2) for where, at in sheet.least.items() if at < LEAST_CONTRAST_TEXT}
    assert poor == {}


def test_a_line_that_cannot_be_read_is_found():
    sheet = Seen((200, 100))
    for ground in (PANEL, AMBER):
        sheet.where = str(ground)
        sheet.surface.fill(ground)
        sheet.draw(Text("R clips", 10, 10, 20, RED_WORDS), sheet.surface)
    at = list(sheet.least.values())
    assert at[0] == pytest.approx(contrast_ratio(RED_WORDS, PANEL))
    assert at[1] == pytest.approx(contrast_ratio(RED_WORDS, AMBER))
    assert at[1] < 2.0
