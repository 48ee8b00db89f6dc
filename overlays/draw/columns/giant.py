"""One verdict and one number, to be read from two metres: the report of a view alone.

What the word says can be told without reading it and without its colour: a bar of three fields
stands beside it, filled above the middle, in it or below it.
"""

from overlays.draw.columns.plates import alert_line, banner_pieces, under_banner
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Text
from overlays.draw.layout.theme import (
    AMBER,
    LINE,
    PANEL,
    QUIET,
    RED_WORDS,
    SKY,
    TEXT,
    VIOLET_WORDS,
    Colour,
    TextSize,
    Theme,
)
from overlays.draw.moment.report import Report, Tone
from overlays.draw.moment.shown import BETWEEN, Face, Shown
from overlays.wording.numbers import UNKNOWN, typeset

WIDEST_WORD = "UNDER"
"""The longest one: all keep its size, so that nothing jumps."""

FIELDS: tuple[tuple[str, Colour], ...] = (("OVER", AMBER), ("IN", SKY), ("UNDER", VIOLET_WORDS))
"""From above, each with its colour, which is that of its stripe where it has one."""

WIDEST_SECOND = "−10.00 ±0.88 st off"
"""As wide as any number under the word: it keeps its size, too."""

BAR_SHARE = 0.07
"""Of the width: the bar beside the word."""

SECOND_SHARE, SMALL_SECOND_SHARE, SMALL_ROWS = 0.42, 0.2, 320
"""Of the height that word and number have: the number, to be read from as far away. On a screen of
fewer rows the word alone can be read from there."""


def giant_pieces(shown: Shown, area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """The report of a view without a picture, over the whole screen."""
    report = shown.report
    above = Area(area.left, area.top, area.width, 0)
    is_banner = shown.face not in {Face.LIVE, Face.LOCKED}
    pieces = banner_pieces(shown, above, letters, theme) if is_banner else []
    top = under_banner(pieces, above).top
    large, small = theme.text_pixels(TextSize.LARGE), theme.text_pixels(TextSize.SMALL)
    if not is_banner or report is not None:
        words = _heading(shown, report)
        fitting = letters.fitting(words, area.width, large)
        pieces.append(Text(words, area.left, top, fitting, QUIET))
        top += letters.height(large)
    for line in _said(report, area, letters, large, small):
        pieces.append(Text(line.words, line.x, top, line.pixels, line.colour))
        top += letters.height(line.pixels)
    # What has just happened, and the machine's trouble, lie over nothing.
    bottom = area.bottom - 2 * letters.height(small) - theme.gap
    reads = _reads(report)
    lower = letters.fitting(reads, area.width, large)
    third = letters.height(lower) if reads else 0
    free = bottom - third - top
    share = SMALL_SECOND_SHARE if area.height < SMALL_ROWS else SECOND_SHARE
    under = letters.fitting(WIDEST_SECOND, area.width, max(round(free * share), large))
    body = Area(area.left, top, area.width, free - letters.height(under))
    pieces += _word(report, body, letters, theme)
    pieces += _second(report, Area(area.left, body.bottom, area.width, 0), letters, under)
    if reads:
        middle = area.left + area.width // 2
        is_wrong = report is not None and any(row.tone is Tone.ALARM for row in report.rows)
        ink = RED_WORDS if is_wrong else QUIET
        pieces.append(Text(reads, middle, bottom - third, lower, ink, Align.CENTRE))
    if shown.alert is not None and not shown.note:  # which stands there for a few seconds
        pieces += alert_line(shown.alert, area, letters, small)
    return pieces


def _reads(report: Report | None) -> str:
    """What the spot reads, whatever it is judged by, in a line."""
    rows = () if report is None else report.rows
    return "   ".join(f"{row.label} {row.value}".strip() for row in rows)


def _heading(shown: Shown, report: Report | None) -> str:
    locked = f"{shown.face.value.upper()}{BETWEEN}" if shown.face is Face.LOCKED else ""
    return locked + shown.source.marked("" if report is None else report.heading)


def _word(report: Report | None, body: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """The word, and the bar beside it."""
    bar = max(round(body.width * BAR_SHARE), 12)
    word = UNKNOWN if report is None else report.main
    room = body.width - bar - theme.gap
    pixels = letters.fitting(WIDEST_WORD, room, max(body.height, 8))
    while letters.height(pixels) > body.height and pixels > 16:
        pixels -= max(pixels // 40, 1)
    colour = dict(FIELDS).get(word)
    pixels = min(pixels, letters.fitting(word, room, pixels))
    top = body.top + (body.height - letters.height(pixels)) // 2
    middle = body.left + bar + theme.gap + room // 2
    ink = QUIET if colour is None else colour
    return [
        *_bar(word, Area(body.left, body.top, bar, body.height), theme),
        Text(word, middle, top, pixels, ink, Align.CENTRE),
    ]


def _bar(word: str, area: Area, theme: Theme) -> list[Piece]:
    gap = max(theme.gap // 2, 2)
    height = (area.height - 2 * gap) // len(FIELDS)
    made: list[Piece] = []
    for place, (name, colour) in enumerate(FIELDS):
        field = Area(area.left, area.top + place * (height + gap), area.width, height)
        made.append(Block(field, colour if name == word else LINE))
        if name != word:
            made.append(Block(field.inset(max(theme.hairline, 1)), PANEL))
    return made


def _second(report: Report | None, below: Area, letters: Letters, pixels: int) -> list[Piece]:
    words = "" if report is None else typeset(report.beside)
    fitting = letters.fitting(words, below.width, pixels)
    middle = below.left + below.width // 2
    return [Text(words, middle, below.top, fitting, TEXT, Align.CENTRE)] if words else []


def _said(
    report: Report | None, area: Area, letters: Letters, large: int, small: int
) -> list[Text]:
    """The sentence, and below it what clears it."""
    if report is None:
        return []
    colour = RED_WORDS if report.tone is Tone.ALARM else TEXT
    words = typeset(report.words)
    pixels = letters.fitting(words, area.width, large, small)
    lines = [
        Text(each, area.left, 0, pixels, colour)
        for each in letters.wrapped(words, pixels, area.width)
    ]
    notes = [
        Text(line, area.left, 0, small, QUIET)
        for note in report.notes
        for line in letters.wrapped(note, small, area.width)
    ]
    return [*lines, *notes]
