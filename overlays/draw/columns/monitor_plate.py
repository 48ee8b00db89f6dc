"""What is done to the picture, over its upper edge: the key of the stop map, and words."""

from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Block, Hatch, Letters, Piece, Text
from overlays.draw.layout.monitor import words_of
from overlays.draw.layout.theme import GROUND, TEXT, TextSize, Theme
from overlays.draw.moment.shown import FROZEN, Face, Shown
from overlays.draw.picture.stop_map import BELOW, COLOURS, ends
from overlays.measure.counting.bands import BandKind
from overlays.signal.curves import Family
from overlays.wording.numbers import MINUS

NAMES = {BandKind.BELOW: "floor", BandKind.ABOVE: "clip"}


def monitor_pieces(shown: Shown, area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """Key and words across the top of an area; nothing where the picture is as usual."""
    measured = shown.measured
    if measured is None or shown.face is Face.LOST or shown.face in FROZEN:
        return []
    pieces: list[Piece] = []
    if shown.monitor.stop_map:
        pieces = _key(shown, area, letters, theme)
        bottom = max(piece.area.bottom for piece in pieces if isinstance(piece, Block))
        area = Area(area.left, bottom, area.width, max(area.bottom - bottom, 0))
    is_viewed = measured.yard.carried.curve.family is not Family.STANDARD
    words = words_of(shown.monitor, is_viewed=is_viewed)
    if not words:
        return pieces
    pixels, pad = theme.text_pixels(TextSize.TINY), max(theme.gap // 2, 4)
    lines = letters.wrapped(words, pixels, area.width - 2 * pad)
    row = letters.height(pixels)
    wide = max(letters.width(line, pixels) for line in lines) + 2 * pad
    box = Area(area.right - wide, area.top, wide, row * len(lines) + 2)
    said = [
        Text(line, box.left + pad, box.top + 1 + n * row, pixels, TEXT)
        for n, line in enumerate(lines)
    ]
    return [*pieces, Block(box, GROUND), *said]


def _key(shown: Shown, area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """A cell a stop with its number under it, the ends as they are striped, with their names."""
    assert shown.measured is not None  # that is why there is a key
    kinds = {band.band.kind for band in ends(shown.measured.yard)}
    pixels = theme.text_pixels(TextSize.TINY)
    row = letters.height(pixels)
    names = {kind: letters.width(NAMES[kind], pixels) + 8 for kind in kinds}
    inner = area.width - sum(names.values())
    high = max(row // 2, 6)
    pieces: list[Piece] = [Block(Area(area.left, area.top, area.width, high + row + 2), GROUND)]
    left, under = area.left, area.top + high + 1
    if BandKind.BELOW in kinds:
        cell = Area(left, area.top, names[BandKind.BELOW], high)
        pieces += _end(cell, BandKind.BELOW, under, pixels)
        left = cell.right
    count = len(COLOURS)
    widest = letters.width(f"{MINUS}{BELOW}", pixels)
    every = -(-(widest + 4) // max(inner // count, 1))  # numbers keep apart
    for place, colour in enumerate(COLOURS):
        first, last = inner * place // count, inner * (place + 1) // count
        pieces.append(Block(Area(left + first, area.top, last - first, high), colour))
        stops = place - BELOW
        if stops % every == 0:
            words = f"{stops:+d}".replace("-", MINUS) if stops else "0"
            middle = left + (first + last) // 2
            pieces.append(Text(words, middle, under, pixels, TEXT, Align.CENTRE))
    if BandKind.ABOVE in kinds:
        cell = Area(left + inner, area.top, names[BandKind.ABOVE], high)
        pieces += _end(cell, BandKind.ABOVE, under, pixels)
    return pieces


def _end(cell: Area, kind: BandKind, under: int, pixels: int) -> list[Piece]:
    ground = COLOURS[-1] if kind is BandKind.ABOVE else COLOURS[0]
    middle = cell.left + cell.width // 2
    return [
        Hatch(cell, kind, ground),
        Text(NAMES[kind], middle, under, pixels, TEXT, Align.CENTRE),
    ]
