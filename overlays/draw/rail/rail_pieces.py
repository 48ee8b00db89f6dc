"""The rail as pieces of type: over each button what pressing does, under that what holding does.

Holding is told by its place in the lower line, by a sign before it, and by smaller type.
"""

from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Text
from overlays.draw.layout.rail_room import BUTTONS, RailRoom
from overlays.draw.layout.theme import LINE, PANEL, QUIET, TEXT, TextSize, Theme
from overlays.draw.moment.shown import RailLabel

HOLD_SIGN = "– "
"""Before what a button does when it is held: a longer stroke for a longer press."""


def rail_pieces(
    labels: tuple[RailLabel, ...], room: RailRoom, letters: Letters, theme: Theme
) -> list[Piece]:
    """The strip with its labels; nothing while the rail rests."""
    if not labels:
        return []
    large, small = theme.text_pixels(TextSize.SMALL), theme.text_pixels(TextSize.TINY)
    pad, line = theme.gap // 2, theme.hairline
    pieces: list[Piece] = [
        Block(Area(room.left, room.top, room.width, room.height), PANEL),
        Block(Area(room.left, room.top, room.width, line), LINE),
    ]
    top = room.top + max(theme.gap // 4, 1)
    below = top + letters.height(large)
    for button, label in enumerate(labels[:BUTTONS]):
        left, right = room.edge(button), room.edge(button + 1)
        if button:
            pieces.append(Block(Area(left, room.top, line, room.height), LINE))
        middle, width = (left + right) // 2, right - left - 2 * pad
        pressed = letters.fitting(label.pressed, width, large)
        pieces.append(Text(label.pressed, middle, top, pressed, TEXT, Align.CENTRE))
        if label.held:
            words = f"{HOLD_SIGN}{label.held}"
            held = letters.fitting(words, width, small)
            pieces.append(Text(words, middle, below, held, QUIET, Align.CENTRE))
    return pieces
