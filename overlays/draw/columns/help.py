"""Keys and what they do, on a panel over the screen."""

from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Text
from overlays.draw.layout.theme import PANEL, QUIET, TEXT, TextSize, Theme

LINE_SHARE = 1.15
"""Of a line of type: from one line to the next."""

Entries = tuple[tuple[str, str], ...]


def help_pieces(
    entries: Entries, area: Area, letters: Letters, theme: Theme, turn: int = 0
) -> list[Piece]:
    """Keys and what they do, in the middle of an area.

    Type gets smaller as far as it can be read; where that does not do, words take several lines and
    entries take turns.

    Parameters
    ----------
    turn:
        Goes up with time.
    """
    if not entries:
        return []
    pad, least = theme.gap, theme.text_pixels(TextSize.TINY)
    pixels = theme.text_pixels(TextSize.SMALL)
    room = area.height - 4 * pad
    while pixels > least and _height(entries, pixels, area, letters, pad) > room:
        pixels -= 1
    pages = _pages(entries, pixels, area, letters, pad)
    now = pages[turn % len(pages)]
    line = _line(letters, pixels)
    keys = _keys(entries, letters, pixels)
    lines = [part for key, words in now for part in _parts(key, words)]
    if len(pages) > 1:
        lines.append(("", f"part {turn % len(pages) + 1} of {len(pages)}"))
    wide = max(letters.width(words, pixels) for _, words in lines)
    width, height = min(keys + wide + 6 * pad, area.width), len(lines) * line + 2 * pad
    left, top = area.left + (area.width - width) // 2, area.top + (area.height - height) // 2
    pieces: list[Piece] = [Block(Area(left, top, width, height), PANEL)]
    middle = left + 2 * pad + keys
    for index, (key, words) in enumerate(lines):
        at = top + pad + index * line
        pieces.append(Text(key, middle, at, pixels, TEXT, Align.RIGHT))
        pieces.append(Text(words, middle + 2 * pad, at, pixels, QUIET))
    return pieces


def _line(letters: Letters, pixels: int) -> int:
    return round(letters.height(pixels) * LINE_SHARE)


def _keys(entries: Entries, letters: Letters, pixels: int) -> int:
    return max(letters.width(key, pixels) for key, _ in entries)


_Entry = tuple[str, list[str]]


def _parts(key: str, words: list[str]) -> list[tuple[str, str]]:
    """The key stands beside the first line of its words."""
    return [(key if place == 0 else "", line) for place, line in enumerate(words)]


def _wrapped(entries: Entries, pixels: int, area: Area, letters: Letters, pad: int) -> list[_Entry]:
    room = area.width - _keys(entries, letters, pixels) - 6 * pad
    return [(key, letters.wrapped(what, pixels, room)) for key, what in entries]


def _height(entries: Entries, pixels: int, area: Area, letters: Letters, pad: int) -> int:
    made = _wrapped(entries, pixels, area, letters, pad)
    return sum(len(words) for _, words in made) * _line(letters, pixels)


def _pages(
    entries: Entries, pixels: int, area: Area, letters: Letters, pad: int
) -> list[list[_Entry]]:
    """All on one page, else on as few as hold them with a line that says so."""
    made = _wrapped(entries, pixels, area, letters, pad)
    room = (area.height - 4 * pad) // _line(letters, pixels)
    if sum(len(words) for _, words in made) <= room:
        return [made]
    pages: list[list[_Entry]] = [[]]
    for entry in made:
        used = sum(len(words) for _, words in pages[-1])
        if pages[-1] and used + len(entry[1]) > room - 1:
            pages.append([])
        pages[-1].append(entry)
    return pages
