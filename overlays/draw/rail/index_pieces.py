"""The index as pieces of type: each view with its figure, over the button that leads to it."""

from collections.abc import Mapping, Sequence

from overlays.draw.columns.plates import alert_pieces, banner_pieces, under_banner
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Text
from overlays.draw.layout.rail_room import BUTTONS
from overlays.draw.layout.theme import AMBER, LINE, PANEL, QUIET, TEXT, TextSize, Theme
from overlays.draw.moment.shown import BETWEEN, SIMULATED, Shown
from overlays.draw.rail.rail_pieces import HOLD_SIGN
from overlays.wording.numbers import UNKNOWN, typeset

ROWS = 2
"""Of views over the buttons: pressed, and held."""


def figures_of(shown: Shown) -> Mapping[str, str]:
    """What each view says now, by its name; nothing where no numbers may be read."""
    readable = shown.readable
    return {} if readable is None else readable.figures


def index_pieces(shown: Shown, area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """All views over an area; a figure that is not current is not known.

    Those beyond two rows of four stand in a line below: they are one press of the button beside.
    """
    figures = figures_of(shown)
    near, beyond = shown.index[: ROWS * BUTTONS], shown.index[ROWS * BUTTONS :]
    tiny = theme.text_pixels(TextSize.TINY)
    lines = letters.wrapped(_last_line(shown, beyond), tiny, area.width)
    below = len(lines) * letters.height(tiny)
    # What is to be known of the whole picture and of the machine stands above, as in every view.
    pieces = banner_pieces(shown, Area(area.left, area.top, area.width, 0), letters, theme)
    free = under_banner(pieces, area)
    pieces += alert_pieces(shown.alert, free, letters, theme)
    start = under_banner(pieces, area).top
    height = (area.bottom - start - below - theme.gap // 2) // ROWS
    width = area.width + 2 * area.left  # of the screen: cells stand over the buttons
    for place, name in enumerate(near):
        row, button = divmod(place, BUTTONS)
        left, right = width * button // BUTTONS, width * (button + 1) // BUTTONS
        cell = Area(left, start + row * height, right - left, height).inset(theme.gap // 4)
        pieces.append(Block(cell, PANEL))
        ink = AMBER if name == shown.view.name else LINE
        pieces.append(Block(Area(cell.left, cell.top, cell.width, theme.gap // 3), ink))
        title = f"{HOLD_SIGN}{name}" if row else name
        figure = typeset(figures.get(name) or UNKNOWN)
        pieces += _cell(title, figure, cell, letters, theme)
    for number, line in enumerate(lines):
        top = area.bottom - below + number * letters.height(tiny)
        pieces.append(Text(line, area.left, top, tiny, QUIET))
    return pieces


def _last_line(shown: Shown, beyond: Sequence[str]) -> str:
    """The views beside, with their figures; and where no camera is behind them all, that."""
    figures = figures_of(shown)
    said = [f"{name} {typeset(figures.get(name) or UNKNOWN)}" for name in beyond]
    parts = [f"more ›  {BETWEEN.join(said)}"] if said else []
    if shown.source.is_simulated:
        parts.append(SIMULATED)
    return BETWEEN.join(parts)


def _cell(title: str, figure: str, cell: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """The name above, the figure as large as it fits; a long one in smaller type and more lines."""
    small, least = theme.text_pixels(TextSize.SMALL), theme.text_pixels(TextSize.TINY)
    width, middle = cell.width - theme.gap, cell.left + cell.width // 2
    name = letters.fitting(title, width, small, least - 2)
    top = cell.top + theme.gap // 2
    pieces: list[Piece] = [Text(title, middle, top, name, QUIET, Align.CENTRE)]
    top += letters.height(name)
    pixels = letters.fitting(figure, width, theme.text_pixels(TextSize.LARGE), least)
    lines = letters.wrapped(figure, pixels, width)
    ink = QUIET if figure == UNKNOWN else TEXT
    free = cell.bottom - top - len(lines) * letters.height(pixels)
    for number, line in enumerate(lines):
        at = top + max(free // 2, 0) + number * letters.height(pixels)
        pieces.append(Text(line, middle, at, pixels, ink, Align.CENTRE))
    return pieces
