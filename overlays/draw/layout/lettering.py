"""Type: fonts, measuring, and the pieces of text a screen is made of."""

from collections import OrderedDict
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache

import pygame

from overlays.draw.layout.theme import Colour
from overlays.draw.layout.views import Area

EM_SHARE = 0.6875
"""pygame draws its own font at this share of the size asked for."""

KEPT_FONTS = 24
KEPT_WORDS = 256
KEPT_WIDTHS = 4096
"""Lines whose width is remembered: to break the sentences of a foot takes some two hundred, the
same ones at every frame, and measuring them is dearer than all the rest of painting."""

JOINTS = "/-_:,=."
"""Behind these a word that is too long for a line goes on in the next."""


class Align(Enum):
    """Which edge of the text stands at `x`."""

    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Text:
    """One line: `x` is the edge it is aligned by, `top` its upper end, `pixels` the em."""

    words: str
    x: int
    top: int
    pixels: int
    colour: Colour
    align: Align = Align.LEFT


@dataclass(frozen=True, slots=True)
class Block:
    """A filled rectangle."""

    area: Area
    colour: Colour


@dataclass(frozen=True, slots=True)
class Swatch:
    """A piece of the stripe of a number, on a neutral ground."""

    area: Area
    stripe: int


Piece = Text | Block | Swatch


class Letters:
    """Fonts of one screen; keeps what it has drawn, so that a number that stays costs nothing."""

    def __init__(self) -> None:
        pygame.font.init()
        self._fonts: OrderedDict[int, pygame.font.Font] = OrderedDict()
        self._drawn: OrderedDict[tuple[str, int, Colour], pygame.Surface] = OrderedDict()
        self._measured = lru_cache(KEPT_WIDTHS)(self._measure)

    def _font(self, pixels: int) -> pygame.font.Font:
        font = self._fonts.get(pixels)
        if font is None:
            font = pygame.font.Font(None, max(round(pixels / EM_SHARE), 1))
            self._fonts[pixels] = font
            if len(self._fonts) > KEPT_FONTS:
                self._fonts.popitem(last=False)
        return font

    def width(self, words: str, pixels: int) -> int:
        """Width of a line."""
        return self._measured(words, pixels)

    def _measure(self, words: str, pixels: int) -> int:
        return self._font(pixels).size(words)[0]

    def height(self, pixels: int) -> int:
        """Height of a line, from its highest to its lowest letters."""
        return self._font(pixels).get_linesize()

    def fitting(self, words: str, width: int, largest: int, least: int = 8) -> int:
        """The largest em not above `largest` at which the line is no wider than `width`."""
        pixels = largest
        while pixels > least and self.width(words, pixels) > width:
            narrower = int(pixels * width / max(self.width(words, pixels), 1))
            pixels = max(min(narrower, pixels - 1), least)
        return pixels

    def area(self, text: Text) -> Area:
        """Where a line stands."""
        width, height = self._font(text.pixels).size(text.words)
        left = text.x
        if text.align is Align.RIGHT:
            left -= width
        elif text.align is Align.CENTRE:
            left -= width // 2
        return Area(left, text.top, width, height)

    def wrapped(self, words: str, pixels: int, width: int) -> list[str]:
        """The words in lines no wider than `width`; a longer single word goes on in the next."""
        lines: list[str] = []
        line = ""
        for word in words.split():
            trial = f"{line} {word}" if line else word
            if self.width(trial, pixels) <= width:
                line = trial
                continue
            if line:
                lines.append(line)
            line = word
            while len(line) > 1 and self.width(line, pixels) > width:
                head = self._head(line, pixels, width)
                lines.append(head)
                line = line[len(head) :]
        return [*lines, line] if line else lines

    def _head(self, word: str, pixels: int, width: int) -> str:
        """As much of a word as a line holds, ended where a path or a name has a joint."""
        count = len(word)
        while count > 1 and self.width(word[:count], pixels) > width:
            count -= 1
        joint = max(word.rfind(sign, 0, count) + 1 for sign in JOINTS)
        return word[: joint if 2 * joint >= count else count]

    def cut(self, words: str, pixels: int, width: int) -> str:
        """The words, ended by … where they are wider than `width`."""
        if self.width(words, pixels) <= width:
            return words
        while words and self.width(words + "…", pixels) > width:
            words = words[:-1]
        return words.rstrip() + "…"

    def draw(self, text: Text, onto: pygame.Surface) -> None:
        """Put a line on a surface."""
        if not text.words:
            return
        key = (text.words, text.pixels, text.colour)
        image = self._drawn.get(key)
        if image is None:
            image = self._font(text.pixels).render(text.words, True, text.colour)
            self._drawn[key] = image
            if len(self._drawn) > KEPT_WORDS:
                self._drawn.popitem(last=False)
        else:
            self._drawn.move_to_end(key)
        area = self.area(text)
        onto.blit(image, (area.left, area.top))
