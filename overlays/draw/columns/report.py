"""A report beside the picture: one main number, what to do in plain words, and a few rows.

Advice, three chips, pins, match and watch are all shown this way, so that whoever knows one view
knows them all.
"""

from overlays.draw.columns.readouts import Column, heading
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Text
from overlays.draw.layout.theme import AMBER, QUIET, RED, TEAL, TEXT, Colour, TextSize, Theme
from overlays.draw.layout.views import Area
from overlays.draw.moment.report import Report, Row, Tone
from overlays.draw.moment.shown import BELIEVED, Face, Source
from overlays.wording.numbers import UNKNOWN, typeset

WIDEST_MAIN = "−10.00"
"""The longest main number: it keeps its size whatever it reads."""


MAIN_SHARE = 0.2
"""Of the height of the column: the most the main number takes."""

WORDS_SHARE, MOST_LINES = 0.4, 5
"""The same of the sentence, and its lines at the most; where it needs more, smaller type."""

LEAST_LABEL = 0.3
"""Of the width of the column: what a label keeps however long its value is."""

_COLOURS: dict[Tone, Colour] = {Tone.PLAIN: TEXT, Tone.QUIET: QUIET, Tone.ALARM: RED}


def report_pieces(
    report: Report | None,
    face: Face,
    source: Source,
    area: Area,
    letters: Letters,
    theme: Theme,
) -> list[Piece]:
    """The report as pieces of type.

    Parameters
    ----------
    report:
        None where nothing could be measured.
    face:
        Numbers are withdrawn unless the feed is live or held.
    source:
        Said in the heading where no camera is behind it.
    """
    column = Column(area, letters, theme, area.top)
    believed = face in BELIEVED
    _heading(column, report, face, source)
    _main(column, report if believed else None)
    if report is not None and believed:
        _words(column, report)
        column.rule()
        _rows(column, report.rows)
        _notes(column, report.notes)
    return column.pieces


def _heading(column: Column, report: Report | None, face: Face, source: Source) -> None:
    colour = {Face.LIVE: AMBER, Face.LAMP: AMBER, Face.HELD: TEAL}.get(face, RED)
    said = "" if report is None else report.heading
    words = said if face in {Face.LIVE, Face.LAMP} else f"{said}  {face.value}".strip()
    heading(column, source.marked(words), colour)


def _main(column: Column, report: Report | None) -> None:
    letters, area = column.letters, column.area
    largest = round(min(column.size(TextSize.MAIN) * 1.3, area.height * MAIN_SHARE))
    pixels = letters.fitting(WIDEST_MAIN, area.width, largest)
    words = UNKNOWN if report is None else report.main
    pixels = min(pixels, letters.fitting(words, area.width, pixels))
    ink = QUIET if words == UNKNOWN else TEXT
    column.pieces.append(Text(words, area.left, column.top, pixels, ink))
    column.top += letters.height(pixels)
    beside = "" if report is None else typeset(report.beside)
    pixels = column.letters.fitting(beside, area.width, column.size(TextSize.BODY))
    column.line(beside, pixels, QUIET)


def _words(column: Column, report: Report) -> None:
    """What to do, in the largest type that leaves the rows their room."""
    words, letters, width = typeset(report.words), column.letters, column.area.width
    column.gap(0.5)
    left = column.left_over - _rows_height(column, report.rows) - 2 * column.theme.gap
    for size in (TextSize.BODY, TextSize.SMALL, TextSize.TINY):
        pixels = column.size(size)
        lines = letters.wrapped(words, pixels, width)
        room = min(int(column.area.height * WORDS_SHARE / letters.height(pixels)), MOST_LINES)
        if len(lines) <= room and len(lines) * letters.height(pixels) <= left:
            break
    for line in _shortened(lines, room, column, pixels):
        column.line(line, pixels, _COLOURS[report.tone])


def _rows(column: Column, rows: tuple[Row, ...]) -> None:
    pixels = column.size(TextSize.SMALL)
    height = column.letters.height(pixels)
    step = height + max(column.theme.gap // 4, 2)
    stacked = [_is_stacked(column, row, pixels) for row in rows]
    roomy = column.left_over >= (len(rows) + sum(stacked)) * step
    for row, on_two_lines in zip(rows, stacked, strict=True):
        if column.left_over < height:
            return
        _row(column, row, pixels, height if roomy and on_two_lines else 0)
        column.top += step


def _rows_height(column: Column, rows: tuple[Row, ...]) -> int:
    """What they take with every value whole."""
    pixels = column.size(TextSize.SMALL)
    step = column.letters.height(pixels) + max(column.theme.gap // 4, 2)
    return step * (len(rows) + sum(_is_stacked(column, row, pixels) for row in rows))


def _is_stacked(column: Column, row: Row, pixels: int) -> bool:
    """Whether the value would lose its end beside the label."""
    needed = column.letters.width(typeset(row.value), pixels)
    label = column.letters.width(_beside(column, row, pixels), pixels)
    return needed > column.area.width - label - column.theme.gap


def _beside(column: Column, row: Row, pixels: int) -> str:
    """The label as it stands beside the value, cut where both have no room."""
    return column.letters.cut(row.label, pixels, round(column.area.width * 0.6))


def _row(column: Column, row: Row, pixels: int, lower: int) -> None:
    """A label at the left and its value at the right, `lower` by so many pixels.

    Where both have no room it is the label that gives way: half a number is no number.
    """
    area, letters, top = column.area, column.letters, column.top
    left = area.width - letters.width(typeset(row.value), pixels) - column.theme.gap
    most = area.width if lower else max(left, round(area.width * LEAST_LABEL))
    label = row.label if lower else _beside(column, row, pixels)
    label = letters.cut(label, pixels, most)
    wide = letters.width(label, pixels)
    room = area.width if lower else area.width - wide - column.theme.gap
    value = letters.cut(typeset(row.value), pixels, room)
    column.pieces.append(Text(label, area.left, top, pixels, TEXT if row.is_chosen else QUIET))
    at = top + lower
    column.pieces.append(Text(value, area.right, at, pixels, _COLOURS[row.tone], Align.RIGHT))
    if row.is_chosen:
        under = top + letters.height(pixels) - 1
        column.pieces.append(Block(Area(area.left, under, wide, column.theme.hairline), TEXT))
    column.top += lower


def _notes(column: Column, notes: tuple[str, ...]) -> None:
    """What else is to be known; warnings stand in the foot of the screen."""
    if not notes:
        return
    column.gap(0.6)
    pixels = column.size(TextSize.TINY)
    height = column.letters.height(pixels)
    for note in notes:
        lines = column.letters.wrapped(typeset(note), pixels, column.area.width)
        room = max(column.left_over // height, 0)
        for line in _shortened(lines, room, column, pixels):
            column.line(line, pixels, QUIET)


def _shortened(lines: list[str], room: int, column: Column, pixels: int) -> list[str]:
    """The lines there is room for; the last says by … that there is more."""
    if len(lines) <= room:
        return lines
    rest = " ".join(lines[room - 1 :]) if room else ""
    return [*lines[: max(room - 1, 0)], column.letters.cut(rest, pixels, column.area.width)][:room]
