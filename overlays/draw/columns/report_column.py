"""A report beside the picture: one main number, what to do in plain words, and a few rows.

Advice, three chips, pins, match and watch are all shown this way, so that whoever knows one view
knows them all. Nothing of it is cut: where it is long, type gets smaller as far as it can be read,
then rows take turns.
"""

from dataclasses import dataclass

from overlays.draw.columns.column import Column
from overlays.draw.columns.items import items_of, parts_of
from overlays.draw.columns.readouts import heading
from overlays.draw.columns.sentence import sentence_of
from overlays.draw.columns.under_number import fits, lay_under
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
    parts = parts_of(area, Column(area, letters, theme, area.top))
    pieces = _laid(report, shown, parts, letters, theme)
    return _laid(report, shown, (area, None), letters, theme) or [] if pieces is None else pieces


def _laid(
    report: Report | None,
    shown: Shown,
    parts: tuple[Area, Area | None],
    letters: Letters,
    theme: Theme,
) -> list[Piece] | None:
    """In one column or two; None where two are too narrow for the sentence."""
    believed = shown.face in BELIEVED
    left, right = parts
    most = round(left.height * (MAIN_SHARE if right is None else WIDE_MAIN_SHARE))
    for trial in _TRIALS:
        column = Column(left, letters, theme, left.top)
        _heading(column, report, shown, trial.rows)
        _main(column, report if believed else None, trial.main, most)
        if report is None or not believed:
            break
        rest = column if right is None else Column(right, letters, theme, right.top)
        words, pixels = sentence_of(report, column, trial.words), column.size(trial.rows)
        items = items_of(report, rest, pixels)
        if trial.is_last and right is not None and words.height > column.left_over:
            return None
        if trial.is_last or (words.is_short and fits(column, rest, words, items)):
            return lay_under(column, rest, words, items, shown.turn, pixels)
    return column.pieces


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
