"""Where the four labels of the rail stand, and where a finger finds them. Layout only."""

import math
from dataclasses import dataclass

from overlays.draw.layout.theme import TextSize, Theme

BUTTONS = 4

LINE_SHARE = 1.12
"""Of the em: at least the height of a line of type (`Letters.height`)."""

TARGET_SHARE = 1.0 / 9.0
"""Of the shorter side of a screen whose size nobody states: the least height of a target.

A finger finds what is 9 mm high and more (common practice, no source); 9 mm are that share of a
panel 81 mm high, which is a 16:9 panel of 6.5 inches. Drawn, a label takes less: its target reaches
up over the foot, where nothing else can be touched.
"""

TARGET_MM = 9.0


@dataclass(frozen=True, slots=True)
class RailRoom:
    """The strip along the lower edge.

    Attributes
    ----------
    left, width:
        Pixels across: four labels of equal width.
    top, height:
        Of what is drawn.
    target_top:
        From where on downward a touch is one of a label.
    """

    left: int
    top: int
    width: int
    height: int
    target_top: int

    @property
    def bottom(self) -> int:
        """One past the last row."""
        return self.top + self.height

    def edge(self, button: int) -> int:
        """Left edge of a label; that of the fifth is the right edge of the fourth."""
        return self.left + self.width * button // BUTTONS

    def button_at(self, at: tuple[int, int]) -> int | None:
        """The label under a pixel (column, row) of the screen; None beside them."""
        across, down = at
        inside = self.left <= across < self.left + self.width
        if not inside or not self.target_top <= down < self.bottom:
            return None
        return min((across - self.left) * BUTTONS // self.width, BUTTONS - 1)


def rail_room(columns: int, rows: int, theme: Theme) -> RailRoom:
    """The rail of a screen: two lines of type, and targets as high as a finger needs.

    Parameters
    ----------
    columns, rows:
        Of the screen.
    theme:
        Of the screen: it knows how many pixels a millimetre has, where that is known.
    """
    large, small = theme.text_pixels(TextSize.SMALL), theme.text_pixels(TextSize.TINY)
    lines = math.ceil(LINE_SHARE * large) + math.ceil(LINE_SHARE * small)
    height = lines + theme.gap // 2
    shorter = min(columns, rows)
    wanted = TARGET_SHARE * shorter if theme.per_mm is None else TARGET_MM * theme.per_mm
    top = rows - height
    return RailRoom(0, top, columns, height, min(top, rows - math.ceil(wanted)))
