"""A picture to set the panel itself by: bars, a grey ramp and steps near black, with a guide.

Levels are those of the standards, as the panel's own R'G'B': 0 % is 0, 100 % is 255. A panel that
is given R'G'B' has nothing below black: of the steps near it only those above can be shown.
"""

from itertools import pairwise

from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Text
from overlays.draw.layout.theme import GROUND, QUIET, TEXT, Colour, TextSize, Theme
from overlays.draw.moment.lineup import GUIDE, Lineup

BAR_PERCENT = 75.0
"""ITU-R BT.1729 and SMPTE RP 219: the bars most used, from white to blue."""

BARS = (
    (1, 1, 1),
    (1, 1, 0),
    (0, 1, 1),
    (0, 1, 0),
    (1, 0, 1),
    (1, 0, 0),
    (0, 0, 1),
)
"""R, G, B of each, on or off, in the order of SMPTE RP 219 (seen second-hand)."""

NEAR_BLACK = (0.0, 1.83, 4.0)
"""Percent: black and what is slightly lighter (ITU-R BT.814-4, code 80 of 10 bits, seen
second-hand), and the +4 % of SMPTE RP 219 (seen second-hand)."""

RAMP_STEPS = 64
"""Four display levels to a step: a panel of 6 bits shows every one of them alike wide."""


def level(percent: float) -> int:
    """Of the panel's own R'G'B', 0 to 255, of a video level within 0 to 100 %."""
    return round(min(max(percent, 0.0), 100.0) / 100.0 * 255.0)


def lineup_pieces(lineup: Lineup, screen: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """All of an area: the whole screen, or what labels over the buttons leave of it."""
    guide = GUIDE[lineup.step % len(GUIDE)]
    pixels, pad = theme.text_pixels(TextSize.SMALL), theme.gap
    row = letters.height(pixels)
    head = f"{lineup.step % len(GUIDE) + 1} of {len(GUIDE)}: {guide.name}"
    said = [head]
    for part in (guide.words, lineup.light, lineup.keys):
        said += letters.wrapped(part, pixels, screen.width - 2 * pad)
    high = row * len(said) + 2 * (pad // 2)
    words = Area(screen.left, screen.bottom - high, screen.width, high)
    left = Area(screen.left, screen.top, screen.width, words.top - screen.top)
    top, middle = round(left.height * 0.4), round(left.height * 0.65)
    pieces = _bars(Area(left.left, left.top, left.width, top))
    pieces += _ramp(Area(left.left, left.top + top, left.width, middle - top))
    dark = Area(left.left, left.top + middle, left.width, left.height - middle)
    pieces += _near_black(dark, letters, theme)
    pieces.append(Block(words, GROUND))
    return pieces + [
        Text(line, words.left + pad, words.top + pad // 2 + n * row, pixels, TEXT)
        for n, line in enumerate(said)
    ]


def _parts(area: Area, count: int) -> list[Area]:
    edges = [area.left + area.width * n // count for n in range(count + 1)]
    return [Area(a, area.top, b - a, area.height) for a, b in pairwise(edges)]


def _bars(area: Area) -> list[Piece]:
    on = level(BAR_PERCENT)
    return [
        Block(part, (red * on, green * on, blue * on))
        for part, (red, green, blue) in zip(_parts(area, len(BARS)), BARS, strict=True)
    ]


def _ramp(area: Area) -> list[Piece]:
    return [
        Block(part, _grey(100.0 * n / (RAMP_STEPS - 1)))
        for n, part in enumerate(_parts(area, RAMP_STEPS))
    ]


def _grey(percent: float) -> Colour:
    return (level(percent),) * 3


def _near_black(area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """Wide steps on black, each with its level in the dark beside it."""
    pixels = theme.text_pixels(TextSize.TINY)
    row = letters.height(pixels)
    pieces: list[Piece] = [Block(area, _grey(0.0))]
    for part, percent in zip(_parts(area, len(NEAR_BLACK)), NEAR_BLACK, strict=True):
        inner = part.inset(max(theme.gap, part.width // 8))
        step = Area(
            inner.left, part.top + theme.gap, inner.width, part.height - 2 * theme.gap - row
        )
        pieces.append(Block(step, _grey(percent)))
        middle = part.left + part.width // 2
        name = f"{percent:.1f} %"
        pieces.append(Text(name, middle, part.bottom - row, pixels, QUIET, Align.CENTRE))
    return pieces
