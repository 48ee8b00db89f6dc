"""What the stripes on the picture mean: a swatch, the band in words, the share inside it."""

from overlays.draw.columns.column import Column
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Swatch, Text
from overlays.draw.layout.theme import GROUND, QUIET, TEXT, TextSize, Theme
from overlays.draw.moment.shown import Shown, StripeShown
from overlays.wording.numbers import share_text


def key_width(shown: Shown, area: Area, letters: Letters, theme: Theme) -> int:
    """Pixels across that the key needs, at most those of the area."""
    column = Column(area, letters, theme, area.top)
    pixels = column.size(TextSize.SMALL)
    widest = max(
        (
            letters.width(each.words, pixels) + letters.width(_share_words(shown, each), pixels)
            for each in shown.stripes
        ),
        default=0,
    )
    return min(_start(column) - area.left + widest + 2 * theme.gap, area.width)


def key_pieces(
    shown: Shown, area: Area, align: Align, letters: Letters, theme: Theme
) -> list[Piece]:
    """What the stripes mean that are on the picture, at a lower corner of an area.

    Where not all of them have room, they take turns.
    """
    if not shown.painted or not shown.stripes or area.height <= 0:
        return []
    pad = theme.gap // 2
    width = key_width(shown, area, letters, theme)
    left = area.left if align is Align.LEFT else area.right - width
    column = Column(Area(left + pad, area.top, width - 2 * pad, area.height), letters, theme, 0)
    pages = _pages(shown, column, area.height - 2 * pad)
    turn = shown.turn % len(pages)
    row = letters.height(column.size(TextSize.SMALL))
    heights = [len(_lines(shown, shown.stripes[index], column)) * row for index in pages[turn]]
    height = sum(heights) + (len(heights) - 1) * _space(column)
    if len(pages) > 1:
        height += letters.height(column.size(TextSize.TINY))
    box = Area(left, area.bottom - height - 2 * pad, width, height + 2 * pad)
    column.top = box.top + pad
    for index in pages[turn]:
        _stripe(shown, index, column)
    if len(pages) > 1:
        words = f"part {turn + 1} of {len(pages)}"
        column.top -= _space(column)
        column.line(words, column.size(TextSize.TINY), QUIET)
    return [Block(box, GROUND), *column.pieces]


def _pages(shown: Shown, column: Column, room: int) -> list[list[int]]:
    """Numbers of the stripes, as many together as there is room for."""
    row, space = column.letters.height(column.size(TextSize.SMALL)), _space(column)
    heights = [len(_lines(shown, each, column)) * row for each in shown.stripes]
    if sum(heights) + (len(heights) - 1) * space <= room:
        return [list(range(len(heights)))]
    pages: list[list[int]] = [[]]
    room -= column.letters.height(column.size(TextSize.TINY))
    used = 0
    for index, height in enumerate(heights):
        if pages[-1] and used + height > room:
            pages.append([])
            used = 0
        pages[-1].append(index)
        used += height + space
    return pages


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
