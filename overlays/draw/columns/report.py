"""A report beside the picture: one main number, what to do in plain words, and a few rows.

Advice, three chips, pins, match and watch are all shown this way, so that whoever knows one view
knows them all. Nothing of it is cut: where it is long, type gets smaller as far as it can be read,
then rows take turns.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from overlays.draw.columns.column import Column
from overlays.draw.columns.items import (
    LEAST_LINES,
    Item,
    height_of,
    items_of,
    lay_in_turns,
    lay_items,
    parts_of,
)
from overlays.draw.columns.readouts import heading
from overlays.draw.columns.sentence import Sentence, sentence_of
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Letters, Piece, Text
from overlays.draw.layout.theme import (
    AMBER,
    QUIET,
    RED_WORDS,
    TEAL_WORDS,
    TEXT,
    TextSize,
    Theme,
)
from overlays.draw.moment.report import Report
from overlays.draw.moment.shown import BELIEVED, MOVING, Face, Shown
from overlays.wording.numbers import UNKNOWN, typeset

WIDEST_MAIN = "−10.00"
"""The longest main number: it keeps its size whatever it reads."""


MAIN_SHARE, WIDE_MAIN_SHARE = 0.2, 0.3
"""Of the height of the column: the most the main number takes; in an area of two parts, of that."""


@dataclass(frozen=True, slots=True)
class _Trial:
    """Sizes of type to try: of the main number as a share of the usual, of words and of rows."""

    main: float
    words: TextSize
    rows: TextSize
    is_last: bool = False


_TRIALS = (
    _Trial(1.0, TextSize.BODY, TextSize.SMALL),
    _Trial(1.0, TextSize.SMALL, TextSize.SMALL),
    _Trial(1.0, TextSize.TINY, TextSize.SMALL),
    _Trial(0.75, TextSize.TINY, TextSize.SMALL),
    _Trial(0.75, TextSize.TINY, TextSize.TINY),
    _Trial(0.6, TextSize.TINY, TextSize.TINY),
    _Trial(0.45, TextSize.TINY, TextSize.TINY, is_last=True),
)


def report_pieces(
    report: Report | None, shown: Shown, area: Area, letters: Letters, theme: Theme
) -> list[Piece]:
    """The report as pieces of type.

    Parameters
    ----------
    report:
        None where nothing could be measured.
    shown:
        The moment. Numbers are withdrawn unless its feed is live or held; where no camera is behind
        it, the heading says so; rows for which there is no room beside others take turns.
    area:
        A wide one has number and sentence at its left, and the rows at its right.
    """
    believed = shown.face in BELIEVED
    left, right = parts_of(area, Column(area, letters, theme, area.top))
    most = round(area.height * (MAIN_SHARE if right is None else WIDE_MAIN_SHARE))
    for trial in _TRIALS:
        column = Column(left, letters, theme, left.top)
        _heading(column, report, shown, trial.rows)
        _main(column, report if believed else None, trial.main, most)
        if report is None or not believed:
            break
        rest = column if right is None else Column(right, letters, theme, right.top)
        words, pixels = sentence_of(report, column, trial.words), column.size(trial.rows)
        items = items_of(report, rest, pixels)
        if words.is_short and _fits(words, items, column, rest):
            words.say(column)
            if rest is column:
                column.rule()
            lay_items(items, rest, pixels)
            return _joined(column, rest)
        if trial.is_last:
            _take_turns(column, rest, words, items, shown.turn, pixels)
            return _joined(column, rest)
    return column.pieces


def _fits(words: Sentence, items: Sequence[Item], column: Column, rest: Column) -> bool:
    if rest is not column:
        return words.height <= column.left_over and height_of(items) <= rest.left_over
    return words.height + column.rule_height + height_of(items) <= column.left_over


def _joined(column: Column, rest: Column) -> list[Piece]:
    return column.pieces if rest is column else [*column.pieces, *rest.pieces]


def _heading(column: Column, report: Report | None, shown: Shown, size: TextSize) -> None:
    face = shown.face
    colour = AMBER if face in MOVING else {Face.HELD: TEAL_WORDS}.get(face, RED_WORDS)
    said = "" if report is None else report.heading
    words = said if face in MOVING else f"{said}  {face.value}".strip()
    heading(column, shown.source.marked(words), colour, size)


def _main(column: Column, report: Report | None, share: float, most: int) -> None:
    letters, area = column.letters, column.area
    largest = round(min(column.size(TextSize.MAIN) * 1.3, most) * share)
    largest = max(largest, column.least_main)
    pixels = letters.fitting(WIDEST_MAIN, area.width, largest)
    words = UNKNOWN if report is None else report.main
    pixels = min(pixels, letters.fitting(words, area.width, pixels))
    ink = QUIET if words == UNKNOWN else TEXT
    column.pieces.append(Text(words, area.left, column.top, pixels, ink))
    column.top += letters.height(pixels)
    beside = "" if report is None else typeset(report.beside)
    least = column.size(TextSize.TINY)
    pixels = letters.fitting(beside, area.width, column.size(TextSize.BODY), least)
    fits = letters.width(beside, pixels) <= area.width
    for line in [beside] if fits else letters.wrapped(beside, pixels, area.width):
        column.line(line, pixels, QUIET)


def _take_turns(
    column: Column, rest: Column, words: Sentence, items: Sequence[Item], turn: int, pixels: int
) -> None:
    """What to do stays where it can; of the rest that whose turn it is, and that there is more."""
    line = column.letters.height(words.pixels)
    least = LEAST_LINES * line if rest is column else 0
    queue = list(items)
    if words.height + least <= column.left_over - column.rule_height:
        words.say(column)
        if rest is column:
            column.rule()
    else:
        queue = [Item(words.height, lines=words.lines, colour=words.colour), *queue]
    if queue:
        lay_in_turns(queue, rest, turn, pixels, words.pixels)
