"""Type: fonts, measuring, and the pieces of text a screen is made of."""

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum

import pygame

from overlays.draw.layout.areas import Area
from overlays.draw.layout.face_sizes import face_sizes, keep_width
from overlays.draw.layout.theme import Colour
from overlays.draw.layout.typeface import STAND_IN, Typeface, typeface
from overlays.measure.counting.bands import BandKind

HIGHEST, LOWEST = "bdfhklé(|[%/", "gjpqy(|[,;Q"
"""What reaches highest and lowest of what is written on a screen. A font's own line is as high as
its highest accented capital, of which there is none here."""

LEADING = 0.06
"""Of the em: what is left free between the lowest letters of a line and the highest of the next."""

SAMPLE = 16
"""Pixels: any size, to see whether the face is there."""

KEPT_FONTS = 24
KEPT_WORDS = 256

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


@dataclass(frozen=True, slots=True)
class Hatch:
    """The stripe of a kind of band on a ground."""

    area: Area
    kind: BandKind
    ground: Colour


Piece = Text | Block | Swatch | Hatch

Stamp = tuple[pygame.Surface, tuple[int, int]]
"""An image, and where its upper left corner goes."""


def box_of(pieces: Sequence[Piece]) -> Area:
    """The backing of pieces that lie on one: the first block among them."""
    return next(piece.area for piece in pieces if isinstance(piece, Block))


class Letters:
    """Fonts of one screen; keeps what it has drawn, so that a number that stays costs nothing.

    Parameters
    ----------
    face:
        What to set in; None takes the screen's own.

    """

    def __init__(self, face: Typeface | None = None) -> None:
        pygame.font.init()
        self._face = typeface() if face is None else face
        self._sizes = face_sizes(self._face)
        self._fonts: OrderedDict[int, pygame.font.Font] = OrderedDict()
        self._drawn: OrderedDict[tuple[str, int, Colour], tuple[pygame.Surface, int, int]]
        self._drawn = OrderedDict()

    def _font(self, pixels: int) -> pygame.font.Font:
        font = self._fonts.get(pixels)
        if font is None:
            font = self._loaded(pixels)
            self._fonts[pixels] = font
            if len(self._fonts) > KEPT_FONTS:
                self._fonts.popitem(last=False)
        return font

    def _loaded(self, pixels: int) -> pygame.font.Font:
        try:
            font = pygame.font.Font(self._face.file, self._size(pixels))
            font.size(HIGHEST)  # a damaged file opens and fails only here
        except (OSError, pygame.error):
            # The package is there and its file is not, or is damaged.
            self._face, self._sizes = STAND_IN, face_sizes(STAND_IN)
            font = pygame.font.Font(None, self._size(pixels))
        return font

    def _size(self, pixels: int) -> int:
        return max(round(pixels / self._face.em_share), 1)

    @property
    def missing(self) -> str:
        """One sentence where the face is not there and pygame's own stands in, else empty."""
        self._font(SAMPLE)
        return self._face.missing

    def width(self, words: str, pixels: int) -> int:
        """Width of a line."""
        found = self._sizes.widths.get((words, pixels))
        if found is None:
            found = self._font(pixels).size(self._face.spelt(words))[0]
            keep_width(self._sizes, words, pixels, found)
        return found

    def height(self, pixels: int) -> int:
        """Height of a line, from its highest to its lowest letters and what is free below them."""
        high, low = self._reach(pixels)
        return high + low + max(round(LEADING * pixels), 1)

    def base(self, pixels: int) -> int:
        """How far under the top of a line its letters stand."""
        return self._reach(pixels)[0]

    def _reach(self, pixels: int) -> tuple[int, int]:
        """How far letters reach above and below the line they stand on."""
        found = self._sizes.reaches.get(pixels)
        if found is None:
            font = self._font(pixels)
            high = max(each[3] for each in font.metrics(HIGHEST))
            low = -min(each[2] for each in font.metrics(LOWEST))
            self._sizes.reaches[pixels] = found = (high, low)
        return found

    def fitting(self, words: str, width: int, largest: int, least: int = 8) -> int:
        """The largest em not above `largest` at which the line is no wider than `width`."""
        pixels = largest
        while pixels > least and self.width(words, pixels) > width:
            narrower = int(pixels * width / max(self.width(words, pixels), 1))
            pixels = max(min(narrower, pixels - 1), least)
        return pixels

    def area(self, text: Text) -> Area:
        """Where a line stands."""
        width, height = self.width(text.words, text.pixels), self.height(text.pixels)
        return Area(text.x - _left_of(text.align, width), text.top, width, height)

    def wrapped(self, words: str, pixels: int, width: int) -> list[str]:
        """The words in lines no wider than `width`; a longer single word goes on in the next.

        A dot between two things goes where one of them is on another line.
        """
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
        lines += [line] if line else []
        if not any("·" in each for each in lines):
            return lines
        undotted = (each.removeprefix("· ").removesuffix(" ·") for each in lines)
        return [each for each in undotted if each not in {"", "·"}]

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

    def draw_on(self, ground: Colour, text: Text, onto: pygame.Surface) -> None:
        """Put a line on a surface with its ground under it, where lines might cross it."""
        onto.blit(*self.stamp(ground, text, onto))

    def stamp(self, ground: Colour, text: Text, like: pygame.Surface) -> Stamp:
        """A line with its ground under it, where lines might cross it.

        Parameters
        ----------
        ground:
            Behind the letters.
        text:
            The line, where it is to stand.
        like:
            The surface that it is for.

        Returns
        -------
        Stamp
            For `pygame.Surface.blits`, as often as the same line is put there.
        """
        area = self.area(text)
        image = pygame.Surface((area.width, area.height), 0, like)
        image.fill(ground)
        self.draw(replace(text, x=text.x - area.left, top=0), image)
        return image, (area.left, area.top)

    def draw(self, text: Text, onto: pygame.Surface) -> None:
        """Put a line on a surface."""
        if not text.words:
            return
        key = (text.words, text.pixels, text.colour)
        drawn = self._drawn.get(key)
        if drawn is None:
            drawn = self._drawn[key] = self._rendered(text)
            if len(self._drawn) > KEPT_WORDS:
                self._drawn.popitem(last=False)
        else:
            self._drawn.move_to_end(key)
        image, width, above = drawn
        onto.blit(image, (text.x - _left_of(text.align, width), text.top - above))

    def _rendered(self, text: Text) -> tuple[pygame.Surface, int, int]:
        """The image of a line, its width, and how far it reaches above the line's top."""
        font = self._font(text.pixels)
        image = font.render(self._face.spelt(text.words), True, text.colour)
        above = font.get_ascent() - self._reach(text.pixels)[0]
        return image, self.width(text.words, text.pixels), above


def _left_of(align: Align, width: int) -> int:
    """How far the left end of a line lies before the edge it is aligned by."""
    if align is Align.LEFT:
        return 0
    return width if align is Align.RIGHT else width // 2
