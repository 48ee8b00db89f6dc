"""The readings as pieces of type: which words and numbers, how large, where.

Pure but for measuring type: the same moment in the same area gives the same pieces.
"""

from dataclasses import dataclass, field

from overlays.draw.columns.cells import alarm_words, channel_cells, range_cells
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Swatch, Text
from overlays.draw.layout.theme import (
    AMBER,
    GROUND,
    LINE,
    QUIET,
    RED,
    TEAL,
    TEXT,
    Colour,
    TextSize,
    Theme,
)
from overlays.draw.layout.views import Area
from overlays.draw.moment.shown import Face, Shown
from overlays.measure.spot.spot import SpotReading
from overlays.wording.numbers import (
    UNKNOWN,
    percent_text,
    pm_text,
    share_text,
    stops_number,
)

WIDEST_STOPS = "−10.00"
"""The longest number the main reading has to hold: it keeps its size whatever it reads."""


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

    def rule(self) -> None:
        """A thin line with space around it."""
        self.gap(0.7)
        height = self.theme.hairline
        self.pieces.append(Block(Area(self.area.left, self.top, self.area.width, height), LINE))
        self.top += height
        self.gap(0.7)

    def cells(self, cells: list[tuple[str, str, Colour]]) -> None:
        """Labels with a number under each, side by side."""
        label, number = self.size(TextSize.TINY), self.size(TextSize.BODY)
        width = self.area.width // len(cells)
        room = width - self.theme.gap // 2
        number = min(self.letters.fitting(value, room, number) for _, value, _ in cells)
        for index, (words, value, colour) in enumerate(cells):
            left = self.area.left + index * width
            cut = self.letters.cut(words, label, room)
            self.pieces.append(Text(cut, left, self.top, label, QUIET))
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


def expose_pieces(shown: Shown, area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """The column beside the picture."""
    column = Column(area, letters, theme, area.top)
    readable = shown.readable
    spot = None if readable is None else readable.spot
    _main(column, shown, spot)
    column.rule()
    column.cells(channel_cells(spot))
    column.gap(0.4)
    for cells in range_cells(None if readable is None else readable.range):
        column.cells(cells)
        column.gap(0.4)
    if shown.stripes:
        column.rule()
        _legend(column, shown)
    return column.pieces


def _heading(column: Column, shown: Shown) -> None:
    """What the main number is of, and whether it is live."""
    pixels = column.size(TextSize.SMALL)
    area = column.area
    spot = None if shown.readable is None else shown.readable.spot
    if shown.face in {Face.LIVE, Face.LAMP}:
        words, colour = "spot, in stops", AMBER
    elif shown.face is Face.HELD:
        words, colour = "spot, held", TEAL
    else:
        words, colour = f"spot, {shown.face.value}", RED
    if spot is not None and spot.bound is not None:
        words = f"{words.removesuffix(', in stops')}, {spot.bound.value}"
    words = shown.source.marked(words)
    if column.letters.width(words, pixels) > area.width - pixels:
        words = words.replace(", in stops", "")  # its unit stands beside its ± as well
    heading(column, words, colour)


def heading(column: Column, words: str, colour: Colour) -> None:
    """A mark, and words beside it on as many lines as they need."""
    pixels = column.size(TextSize.SMALL)
    height, area = column.letters.height(pixels), column.area
    side = height // 2
    mark = Area(area.left, column.top + side // 2, side, side)
    column.pieces.append(Block(mark, colour))
    start = mark.right + column.theme.gap // 2
    for line in column.letters.wrapped(words, pixels, area.right - start):
        column.pieces.append(Text(line, start, column.top, pixels, QUIET))
        column.top += height


def _main(column: Column, shown: Shown, spot: SpotReading | None) -> None:
    letters, area = column.letters, column.area
    _heading(column, shown)
    largest = round(column.size(TextSize.MAIN) * 1.6)
    pixels = letters.fitting(WIDEST_STOPS, area.width, largest)
    bound = None if spot is None else spot.bound
    words = UNKNOWN if spot is None else stops_number(spot.stops, spot.stops_pm, bound)
    column.pieces.append(Text(words, area.left, column.top, pixels, _ink(words)))
    column.top += letters.height(pixels)
    stops_pm = ""
    if spot is not None and spot.stops is not None:
        stops_pm = "st" if bound else f"{pm_text(spot.stops_pm, 2)} st"
    level = UNKNOWN if spot is None else percent_text(spot.percent)
    level_pm = "" if spot is None or spot.hides_light else pm_text(spot.percent_pm, 1)
    # Stops and percent share a line; their sizes give way together where it is narrow.
    large, small = column.size(TextSize.LARGE), column.size(TextSize.SMALL)
    while large > small and (
        letters.width(f"{stops_pm} {level} %", large) + letters.width(level_pm, small)
        > area.width - 2 * column.theme.gap
    ):
        large -= 1
    base = column.top + letters.height(large)
    column.pieces.append(Text(stops_pm, area.left, column.top, large, QUIET))
    at = area.right
    if level_pm:
        top = base - letters.height(small)
        column.pieces.append(Text(level_pm, at, top, small, QUIET, Align.RIGHT))
        at -= letters.width(level_pm, small) + column.theme.gap // 2
    column.pieces.append(Text(f"{level} %", at, column.top, large, _ink(level), Align.RIGHT))
    column.top = base
    _spot_alarm(column, spot)


def _ink(words: str) -> Colour:
    """Colour of a number: a weaker one where it is not known."""
    return QUIET if words == UNKNOWN else TEXT


def _spot_alarm(column: Column, spot: SpotReading | None) -> None:
    """Clipping of the spot, straight under its number."""
    if spot is None:
        return
    words = alarm_words(spot)
    if words:
        column.gap(0.4)
        column.plate(words, column.size(TextSize.SMALL), RED, GROUND)


def _legend(column: Column, shown: Shown) -> None:
    """A swatch, the band in words, and the share of the picture inside it."""
    letters, area = column.letters, column.area
    pixels = column.size(TextSize.SMALL)
    height = letters.height(pixels)
    side = max(round(36 * column.theme.scale), 26)
    start = area.left + side + column.theme.gap
    for index, stripe in enumerate(shown.stripes):
        if column.left_over < height:
            return
        column.pieces.append(Swatch(Area(area.left, column.top + 1, side, height - 2), index))
        chosen = index == shown.selected and len(shown.stripes) > 1
        readable = shown.readable is not None
        if stripe.codes is None:
            share = "not on this feed"
        elif not shown.painted:
            share = "off"
        else:
            share = f"{share_text(stripe.share)} %" if readable and stripe.share is not None else ""
        column.pieces.append(Text(share, area.right, column.top, pixels, QUIET, Align.RIGHT))
        room = area.right - start - letters.width(share, pixels) - column.theme.gap
        words = letters.cut(stripe.words, pixels, room)
        column.pieces.append(Text(words, start, column.top, pixels, TEXT if chosen else QUIET))
        if chosen:
            under = Area(
                start, column.top + height - 1, letters.width(words, pixels), column.theme.hairline
            )
            column.pieces.append(Block(under, TEXT))
        column.top += height + max(column.theme.gap // 3, 2)
