"""The readings as pieces of type: which words and numbers, how large, where.

Pure but for measuring type: the same moment in the same area gives the same pieces.
"""

from overlays.draw.columns.cells import alarm_words, channel_cells, in_pairs, range_cells
from overlays.draw.columns.column import Column
from overlays.draw.columns.legend import add_legend, legend_height
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Text
from overlays.draw.layout.theme import (
    AMBER,
    GROUND,
    QUIET,
    RED_WORDS,
    TEAL_WORDS,
    TEXT,
    Colour,
    TextSize,
    Theme,
)
from overlays.draw.layout.views import Area
from overlays.draw.moment.shown import MOVING, Face, Shown
from overlays.measure.spot.spot import SpotReading
from overlays.wording.numbers import (
    UNKNOWN,
    percent_text,
    pm_text,
    stops_number,
)

WIDEST_STOPS = "−10.00"
"""The longest number the main reading has to hold: it keeps its size whatever it reads."""

MAIN_SHARES = (1.0, 0.8, 0.6, 0.45)
"""Of its usual size: what the main number may be, so that all else has room."""


def expose_pieces(shown: Shown, area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """The column beside the picture: as large as it can be with nothing of it cut."""
    for share in MAIN_SHARES:
        column = Column(area, letters, theme, area.top)
        _numbers(column, shown, share)
        if column.left_over >= legend_height(shown, column):
            break
    if shown.stripes:
        add_legend(shown, column)
    return column.pieces


def _numbers(column: Column, shown: Shown, share: float) -> None:
    """The spot, the range and the clipping."""
    readable = shown.readable
    spot = None if readable is None else readable.spot
    _main(column, shown, spot, share)
    column.rule()
    rows = [channel_cells(spot), *range_cells(None if readable is None else readable.range)]
    if all(column.holds(cells) for cells in rows):
        for cells in rows:
            column.cells(cells)
            column.gap(0.4)
    else:
        for words, value, colour in (pair for cells in rows for pair in in_pairs(cells)):
            column.pair(words, value, colour)
        column.gap(0.4)


def _heading(column: Column, shown: Shown) -> None:
    """What the main number is of, and whether it is live."""
    pixels = column.size(TextSize.SMALL)
    area = column.area
    spot = None if shown.readable is None else shown.readable.spot
    if shown.face in MOVING:
        words, colour = "spot, in stops", AMBER
    elif shown.face is Face.HELD:
        words, colour = "spot, held", TEAL_WORDS
    else:
        words, colour = f"spot, {shown.face.value}", RED_WORDS
    if spot is not None and spot.bound is not None:
        words = f"{words.removesuffix(', in stops')}, {spot.bound.value}"
    words = shown.source.marked(words)
    if column.letters.width(words, pixels) > area.width - pixels:
        words = words.replace(", in stops", "")  # its unit stands beside its ± as well
    heading(column, words, colour)


def heading(column: Column, words: str, colour: Colour, size: TextSize = TextSize.SMALL) -> None:
    """A mark, and words beside it on as many lines as they need."""
    pixels = column.size(size)
    height, area = column.letters.height(pixels), column.area
    side = height // 2
    mark = Area(area.left, column.top + side // 2, side, side)
    column.pieces.append(Block(mark, colour))
    start = mark.right + column.theme.gap // 2
    for line in column.letters.wrapped(words, pixels, area.right - start):
        column.pieces.append(Text(line, start, column.top, pixels, QUIET))
        column.top += height


def _main(column: Column, shown: Shown, spot: SpotReading | None, share: float) -> None:
    letters, area = column.letters, column.area
    _heading(column, shown)
    largest = round(column.size(TextSize.MAIN) * 1.6)
    pixels = round(letters.fitting(WIDEST_STOPS, area.width, largest) * share)
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
        column.plate(words, column.size(TextSize.SMALL), RED_WORDS, GROUND)
