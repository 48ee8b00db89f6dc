"""What the stripes on the picture mean: a swatch, the band in words, the share inside it."""

from dataclasses import replace

from overlays.draw.columns.column import Column
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Swatch, Text
from overlays.draw.layout.theme import GROUND, QUIET, TEXT, TextSize, Theme
from overlays.draw.layout.views import Area
from overlays.draw.moment.shown import Shown, StripeShown
from overlays.wording.numbers import share_text


def legend_height(shown: Shown, column: Column) -> int:
    """Pixels that the legend takes; none without stripes."""
    if not shown.stripes:
        return 0
    height, space = column.letters.height(column.size(TextSize.SMALL)), _space(column)
    lines = sum(len(_lines(shown, each, column)) for each in shown.stripes)
    return column.rule_height + lines * height + (len(shown.stripes) - 1) * space


def add_legend(shown: Shown, column: Column) -> None:
    """Every stripe; where all have no room, those whose turn it is, and that there are others."""
    height = column.letters.height(column.size(TextSize.SMALL))
    pages: list[list[int]] = [[]]
    if legend_height(shown, column) <= column.left_over:
        column.rule()
        pages = [list(range(len(shown.stripes)))]
    else:
        room, used = column.left_over - column.letters.height(column.size(TextSize.TINY)), 0
        for index, stripe in enumerate(shown.stripes):
            needed = len(_lines(shown, stripe, column)) * height
            if pages[-1] and used + needed > room:
                pages.append([])
                used = 0
            pages[-1].append(index)
            used += needed + _space(column)
        turn = shown.turn % len(pages)
        words = f"stripes, part {turn + 1} of {len(pages)}"
        column.line(words, column.size(TextSize.TINY), QUIET)
    for index in pages[shown.turn % len(pages)]:
        _stripe(shown, index, column)


def key_pieces(
    shown: Shown, area: Area, plate: Area, letters: Letters, theme: Theme
) -> list[Piece]:
    """The legend on a picture that fills the screen, while stripes are on it.

    At its lower right, or over the plate at its lower left where that leaves too little.
    """
    if not shown.painted or not shown.stripes:
        return []
    pad = theme.gap // 2
    column = Column(area, letters, theme, area.top)
    pixels = column.size(TextSize.SMALL)
    widest = max(
        letters.width(each.words, pixels) + letters.width(_share_words(shown, each), pixels)
        for each in shown.stripes
    )
    width = min(_start(column) - area.left + widest + theme.gap + 2 * pad, area.width)
    left, bottom = area.right - width, area.bottom
    if left < plate.right + theme.gap:
        left, bottom = plate.left, plate.top - pad
    column.area = Area(left + pad, area.top, width - 2 * pad, area.height)
    height = legend_height(shown, column) - column.rule_height
    top = bottom - height - 2 * pad
    column.area = replace(column.area, top=top + pad, height=height)
    column.top = column.area.top
    for index in range(len(shown.stripes)):
        _stripe(shown, index, column)
    return [Block(Area(left, top, width, height + 2 * pad), GROUND), *column.pieces]


def _space(column: Column) -> int:
    return max(column.theme.gap // 3, 2)


def _start(column: Column) -> int:
    """Where the words begin, beside the swatch."""
    return column.area.left + max(round(36 * column.theme.scale), 26) + column.theme.gap


def _lines(shown: Shown, stripe: StripeShown, column: Column) -> list[str]:
    """The band in words; the share stands beside the last line."""
    letters, pixels = column.letters, column.size(TextSize.SMALL)
    left = column.area.right - _start(column)
    room = left - letters.width(_share_words(shown, stripe), pixels) - column.theme.gap
    if letters.width(stripe.words, pixels) <= room:
        return [stripe.words]
    lines = letters.wrapped(stripe.words, pixels, left)
    return lines if letters.width(lines[-1], pixels) <= room else [*lines, ""]


def _stripe(shown: Shown, index: int, column: Column) -> None:
    stripe, letters, area = shown.stripes[index], column.letters, column.area
    pixels, start = column.size(TextSize.SMALL), _start(column)
    height = letters.height(pixels)
    lines = _lines(shown, stripe, column)
    swatch = Area(area.left, column.top + 1, start - column.theme.gap - area.left, height - 2)
    column.pieces.append(Swatch(swatch, index))
    chosen = index == shown.selected and len(shown.stripes) > 1
    words = _share_words(shown, stripe)
    for place, line in enumerate(lines):
        if place == len(lines) - 1:
            share = Text(words, area.right, column.top, pixels, QUIET, Align.RIGHT)
            column.pieces.append(share)
        column.pieces.append(Text(line, start, column.top, pixels, TEXT if chosen else QUIET))
        column.top += height
    if chosen:
        wide = max(letters.width(line, pixels) for line in lines)
        column.pieces.append(Block(Area(start, column.top - 1, wide, column.theme.hairline), TEXT))
    column.top += _space(column)


def _share_words(shown: Shown, stripe: StripeShown) -> str:
    """The share of the picture inside a stripe, or why there is none."""
    if shown.measured is None:
        return ""  # nothing has come that could be said to have it or not
    if stripe.codes is None:
        return "not on this feed"
    if not shown.painted:
        return "off"
    if shown.readable is None or stripe.share is None:
        return ""
    return f"{share_text(stripe.share)} %"
