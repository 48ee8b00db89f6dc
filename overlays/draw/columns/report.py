"""A report beside the picture: one main number, what to do in plain words, and a few rows.

Advice, three chips, pins, match and watch are all shown this way, so that whoever knows one view
knows them all. Nothing of it is cut: where it is long, type gets smaller as far as it can be read,
then rows take turns.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from overlays.draw.columns.column import Column
from overlays.draw.columns.readouts import heading
from overlays.draw.columns.rows import COLOURS, LaidRow, add_rows, laid_row, rows_height
from overlays.draw.layout.lettering import Letters, Piece, Text
from overlays.draw.layout.theme import (
    AMBER,
    QUIET,
    RED_WORDS,
    TEAL_WORDS,
    TEXT,
    Colour,
    TextSize,
    Theme,
)
from overlays.draw.layout.views import Area
from overlays.draw.moment.report import Report
from overlays.draw.moment.shown import BELIEVED, MOVING, Face, Shown
from overlays.wording.numbers import UNKNOWN, typeset

WIDEST_MAIN = "−10.00"
"""The longest main number: it keeps its size whatever it reads."""


MAIN_SHARE = 0.2
"""Of the height of the column: the most the main number takes."""

WORDS_SHARE, MOST_LINES = 0.4, 5
"""The same of the sentence, and its lines at the most; where it needs more, smaller type."""

WORDS_GAP, NOTES_GAP = 0.5, 0.6
"""Space above the sentence and above the notes, in the theme's gaps."""

LEAST_LINES = 3
"""What takes turns under the sentence has room for so many lines; else the sentence does too."""


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
    """
    believed = shown.face in BELIEVED
    for trial in _TRIALS:
        column = Column(area, letters, theme, area.top)
        _heading(column, report, shown, trial.rows)
        _main(column, report if believed else None, trial.main)
        if report is None or not believed:
            break
        words, pixels = _words(column, report, trial), column.size(trial.rows)
        before = words.height + column.rule_height + round(theme.gap * WORDS_GAP)
        rest = _rest(column, report, pixels)
        if before + sum(each.height for each in rest) <= column.left_over and words.is_short:
            _say(column, words.lines, words.pixels, words.colour)
            column.rule()
            _lay(rest, column, pixels)
            break
        if trial.is_last:
            _take_turns(column, words, rest, shown.turn, pixels)
    return column.pieces


def _heading(column: Column, report: Report | None, shown: Shown, size: TextSize) -> None:
    face = shown.face
    colour = AMBER if face in MOVING else {Face.HELD: TEAL_WORDS}.get(face, RED_WORDS)
    said = "" if report is None else report.heading
    words = said if face in MOVING else f"{said}  {face.value}".strip()
    heading(column, shown.source.marked(words), colour, size)


def _main(column: Column, report: Report | None, share: float) -> None:
    letters, area = column.letters, column.area
    largest = round(min(column.size(TextSize.MAIN) * 1.3, area.height * MAIN_SHARE) * share)
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


@dataclass(frozen=True, slots=True)
class _Words:
    """What to do, in lines; whether that is no more of the column than it may be."""

    lines: tuple[str, ...]
    pixels: int
    height: int
    colour: Colour
    is_short: bool


def _words(column: Column, report: Report, trial: _Trial) -> _Words:
    pixels = column.size(trial.words)
    height = column.letters.height(pixels)
    lines = column.letters.wrapped(typeset(report.words), pixels, column.area.width)
    most = min(int(column.area.height * WORDS_SHARE / height), MOST_LINES)
    is_short = trial.words is TextSize.TINY or len(lines) <= most
    return _Words(tuple(lines), pixels, len(lines) * height, COLOURS[report.tone], is_short)


def _say(column: Column, lines: Sequence[str], pixels: int, colour: Colour) -> None:
    column.gap(WORDS_GAP)
    for line in lines:
        column.line(line, pixels, colour)


@dataclass(frozen=True, slots=True)
class _Unit:
    """A row, or lines of type, that stand or wait as a whole."""

    height: int
    row: LaidRow | None = None
    lines: tuple[str, ...] = ()
    colour: Colour = QUIET
    gap: int = 0


def _rest(column: Column, report: Report, pixels: int) -> list[_Unit]:
    """Rows, then notes: what else is to be known. Warnings stand in the foot of the screen."""
    rows = [laid_row(row, column, pixels) for row in report.rows]
    units = [_Unit(rows_height([row], column, pixels), row) for row in rows]
    tiny = column.size(TextSize.TINY)
    for note in report.notes:
        lines = column.letters.wrapped(typeset(note), tiny, column.area.width)
        gap = 0 if len(units) > len(rows) else round(column.theme.gap * NOTES_GAP)
        height = len(lines) * column.letters.height(tiny) + gap
        units.append(_Unit(height, None, tuple(lines), QUIET, gap))
    return units


def _in_parts(units: Iterable[_Unit], room: int) -> Iterator[_Unit]:
    """A sentence for which a whole column is too short goes on in its next turn, line by line."""
    for unit in units:
        if unit.height <= room or len(unit.lines) < 2:
            yield unit
            continue
        each = (unit.height - unit.gap) // len(unit.lines)
        for line in unit.lines:
            yield _Unit(each, None, (line,), unit.colour)


def _lay(units: Iterable[_Unit], column: Column, pixels: int) -> None:
    for unit in units:
        if unit.row is not None:
            add_rows([unit.row], column, pixels)
        else:
            column.top += unit.gap
            for line in unit.lines:
                column.line(line, column.size(TextSize.TINY), unit.colour)


def _take_turns(
    column: Column, words: _Words, rest: Sequence[_Unit], turn: int, pixels: int
) -> None:
    """What to do stays where it can; of the rest that whose turn it is, and that there is more."""
    line = column.letters.height(words.pixels)
    units = list(rest)
    if words.height + LEAST_LINES * line <= column.left_over - column.rule_height:
        _say(column, words.lines, words.pixels, words.colour)
        column.rule()
    else:
        height = len(words.lines) * line
        units = [_Unit(height, None, tuple(words.lines), words.colour), *units]
    units = list(_in_parts(units, column.left_over - line))
    pages, used = [[units[0]]], units[0].height
    for unit in units[1:]:
        used += unit.height
        if used + line > column.left_over:
            pages.append([])
            used = unit.height
        pages[-1].append(unit)
    now = turn % len(pages)
    _lay(pages[now], column, pixels)
    if len(pages) > 1:
        column.line(f"part {now + 1} of {len(pages)}", words.pixels, AMBER)
