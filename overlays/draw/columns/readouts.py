"""The readings as pieces of type: which words and numbers, how large, where.

Pure but for measuring type: the same moment in the same area gives the same pieces.
"""

from dataclasses import dataclass

from overlays.draw.columns.cells import alarm_words, channel_cells, in_pairs, range_cells
from overlays.draw.columns.column import Column
from overlays.draw.columns.items import Item, items_of, parts_of
from overlays.draw.columns.rows import laid_row, rows_height
from overlays.draw.columns.sentence import Sentence, sentence_of
from overlays.draw.columns.under_number import fits, lay_under
from overlays.draw.layout.areas import Area
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
from overlays.draw.moment.report import Row, Tone
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


@dataclass(frozen=True, slots=True)
class _Trial:
    """Sizes of type to try: of the main number as a share of the usual, and of what to do."""

    main: float
    words: TextSize
    is_last: bool = False


_TRIALS = (
    _Trial(1.0, TextSize.BODY),
    _Trial(0.8, TextSize.BODY),
    _Trial(0.7, TextSize.SMALL),
    _Trial(0.6, TextSize.SMALL),
    _Trial(0.6, TextSize.TINY),
    _Trial(0.45, TextSize.TINY, is_last=True),
)


def expose_pieces(shown: Shown, area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """Spot and range, and what to do about the exposure: as large as they can be.

    Nothing of it is cut: what has no room takes turns. A wide area has the number and what to do at
    its left, all else at its right.
    """
    left, right = parts_of(area, Column(area, letters, theme, area.top))
    for trial in _TRIALS:
        column = Column(left, letters, theme, left.top)
        _main(column, shown, trial.main)
        rest = column if right is None else Column(right, letters, theme, right.top)
        words = _advice(shown, column, trial.words)
        items = _numbers(shown, rest, in_rows=trial.is_last)
        if trial.is_last or fits(column, rest, words, items):
            break
    pixels = column.size(TextSize.TINY)
    return lay_under(column, rest, words, items, shown.turn, pixels)


def _advice(shown: Shown, column: Column, size: TextSize) -> Sentence | None:
    """What to do, where an instrument says it and it may be believed."""
    report = shown.report
    return None if report is None or not report.words else sentence_of(report, column, size)


def _numbers(shown: Shown, column: Column, *, in_rows: bool) -> list[Item]:
    """The range, the clipping and the channels; then the controls and what is foreseen."""
    readable = shown.readable
    spot = None if readable is None else readable.spot
    rows = [*range_cells(None if readable is None else readable.range), channel_cells(spot)]
    pixels = column.size(TextSize.TINY)
    report = shown.report
    below = [] if report is None else items_of(report, column, pixels)
    if not in_rows and all(column.holds(cells) for cells in rows):
        gap = round(0.4 * column.theme.gap)
        height = column.letters.height(pixels) + column.letters.height(column.size(TextSize.BODY))
        return [*(Item(height + gap, cells=tuple(cells), gap=gap) for cells in rows), *below]
    pairs = [pair for cells in rows for pair in in_pairs(cells)]
    tones = (Tone.ALARM if colour == RED_WORDS else Tone.PLAIN for _, _, colour in pairs)
    report_rows = [
        Row(label, value, tone) for (label, value, _), tone in zip(pairs, tones, strict=True)
    ]
    laid = [laid_row(row, column, pixels) for row in report_rows]
    return [*(Item(rows_height([row], column, pixels), row) for row in laid), *below]


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


def _main(column: Column, shown: Shown, share: float) -> None:
    """The number, its ±, the level, and what is wrong with them."""
    letters, area = column.letters, column.area
    spot = None if shown.readable is None else shown.readable.spot
    _heading(column, shown)
    largest = round(column.size(TextSize.MAIN) * 1.6)
    pixels = round(letters.fitting(WIDEST_STOPS, area.width, largest) * share)
    pixels = max(pixels, column.least_main)
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
    room = area.width - 2 * column.theme.gap
    while large > small and (
        letters.width(f"{stops_pm} {level} %", large) + letters.width(level_pm, small) > room
    ):
        large -= 1
    if letters.width(f"{stops_pm} {level} %", large) + letters.width(level_pm, small) > room:
        column.line(stops_pm, large, QUIET)  # each has a line of its own
        stops_pm = ""
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
