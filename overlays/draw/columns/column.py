"""A column of type: pieces stacked from its top down."""

from dataclasses import dataclass, field

from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Text
from overlays.draw.layout.theme import LINE, QUIET, Colour, TextSize, Theme
from overlays.wording.numbers import UNKNOWN

LEAST_MAIN = 1.2
"""Times the size of other large numbers: read at an arm's length on the smallest panel, too
(`tests/legible.py`)."""


@dataclass(slots=True)
class Column:
    """Pieces stacked from the top of an area; `top` moves down as they are added."""

    area: Area
    letters: Letters
    theme: Theme
    top: int
    pieces: list[Piece] = field(default_factory=list)

    def size(self, size: TextSize) -> int:
        """The em of a size of type on this screen."""
        return self.theme.text_pixels(size)

    @property
    def least_main(self) -> int:
        """The em of a main number where there is least room for it."""
        return round(LEAST_MAIN * self.size(TextSize.LARGE))

    @property
    def left_over(self) -> int:
        """Rows still free."""
        return self.area.bottom - self.top

    def line(self, words: str, pixels: int, colour: Colour, align: Align = Align.LEFT) -> None:
        """One line over the whole width, cut where it is too long."""
        x = {
            Align.LEFT: self.area.left,
            Align.CENTRE: self.area.left + self.area.width // 2,
            Align.RIGHT: self.area.right,
        }[align]
        cut = self.letters.cut(words, pixels, self.area.width)
        self.pieces.append(Text(cut, x, self.top, pixels, colour, align))
        self.top += self.letters.height(pixels)

    def gap(self, share: float = 1.0) -> None:
        """Empty space, in the theme's gaps."""
        self.top += round(self.theme.gap * share)

    @property
    def rule_height(self) -> int:
        """Rows that a rule takes with the space around it."""
        return 2 * round(self.theme.gap * 0.7) + self.theme.hairline

    def rule(self) -> None:
        """A thin line with space around it."""
        self.gap(0.7)
        height = self.theme.hairline
        self.pieces.append(Block(Area(self.area.left, self.top, self.area.width, height), LINE))
        self.top += height
        self.gap(0.7)

    def holds(self, cells: list[tuple[str, str, Colour]]) -> bool:
        """Whether every label has room in its cell."""
        room = self.area.width // len(cells) - self.theme.gap // 2
        label = self.size(TextSize.TINY)
        return all(self.letters.width(words, label) <= room for words, _, _ in cells)

    def cells(self, cells: list[tuple[str, str, Colour]]) -> None:
        """Labels with a number under each, side by side."""
        label, number = self.size(TextSize.TINY), self.size(TextSize.BODY)
        width = self.area.width // len(cells)
        room = width - self.theme.gap // 2
        number = min(self.letters.fitting(value, room, number) for _, value, _ in cells)
        for index, (words, value, colour) in enumerate(cells):
            left = self.area.left + index * width
            self.pieces.append(Text(words, left, self.top, label, QUIET))
            under = self.top + self.letters.height(label)
            ink = QUIET if value == UNKNOWN else colour
            self.pieces.append(Text(value, left, under, number, ink))
        self.top += self.letters.height(label) + self.letters.height(number)

    def plate(self, words: str, pixels: int, ground: Colour, colour: Colour) -> None:
        """Words on a filled bar as wide as they need."""
        pad = max(self.theme.gap // 2, 3)
        cut = self.letters.cut(words, pixels, self.area.width - 2 * pad)
        width = self.letters.width(cut, pixels) + 2 * pad
        height = self.letters.height(pixels) + pad
        self.pieces.append(Block(Area(self.area.left, self.top, width, height), ground))
        self.pieces.append(Text(cut, self.area.left + pad, self.top + pad // 2, pixels, colour))
        self.top += height
