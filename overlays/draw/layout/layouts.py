"""Where things stand on the screen. Layout only: nothing is drawn here."""

import math
from dataclasses import dataclass
from functools import lru_cache

from overlays.draw.layout.across import ACROSS
from overlays.draw.layout.areas import Area
from overlays.draw.layout.arrangement import LEAST_FOR_PANEL, Bounds, Placed
from overlays.draw.layout.panel_size import PanelSize
from overlays.draw.layout.rail_room import LINE_SHARE, RailRoom, rail_room
from overlays.draw.layout.theme import TextSize, Theme, theme_for
from overlays.draw.layout.upright import UPRIGHT
from overlays.draw.layout.views import Arrangement, View

WIDE_EMS = 80
"""Ems of the smallest type across a screen from which on one line at its foot holds nearly every
warning whole; a narrower one has two."""


@dataclass(frozen=True, slots=True)
class Layout:
    """One view on one screen.

    Attributes
    ----------
    screen:
        All of it.
    placed:
        What the arrangement puts where.
    foot:
        Lines across the screen for warnings, profile and feed.
    rail:
        Where the labels over the buttons stand while there are any: under everything else, but
        over a picture that fills the screen.
    """

    screen: Area
    theme: Theme
    placed: Placed
    foot: Area
    rail: RailRoom

    @property
    def picture(self) -> Area | None:
        """As placed."""
        return self.placed.picture

    @property
    def readings(self) -> Area:
        """As placed."""
        return self.placed.readings

    @property
    def clear(self) -> Area:
        """As placed."""
        return self.placed.clear

    @property
    def trace(self) -> Area | None:
        """As placed."""
        return self.placed.trace

    @property
    def panel(self) -> Area | None:
        """As placed."""
        return self.placed.panel

    def is_over_picture(self, area: Area) -> bool:
        """Whether an area has to be painted anew with every frame."""
        return self.picture is not None and self.picture.meets(area)


def rests_unseen(view: View) -> bool:
    """Whether the rail goes away while it rests: where the picture is what one looks at."""
    return view.arrangement not in {Arrangement.TABLE, Arrangement.NUMBER}


@lru_cache(256)
def layout(
    view: View,
    screen: tuple[int, int],
    picture: tuple[int, int],
    *,
    has_rail: bool = False,
    gives_way: bool = False,
    panel: PanelSize | None = None,
) -> Layout:
    """The arrangement of a view.

    Parameters
    ----------
    view:
        Which.
    screen, picture:
        (columns, rows) of the screen and of the feed's picture.
    has_rail:
        Whether the rail is on the screen. The picture stays where it is when that comes and goes.
    gives_way:
        Whether readings over the picture stand at its left.
    panel:
        How large the screen is, where it is known.
    """
    theme = theme_for(*screen, panel)
    all_of_it, rail = Area(0, 0, *screen), rail_room(*screen, theme)
    rows = screen[1] - (rail.height if has_rail else 0)
    is_close = has_rail and screen[1] < LEAST_FOR_PANEL and rests_unseen(view)
    foot = _foot(Area(0, 0, screen[0], rows), theme, most=1 if is_close else 2)
    rest = _foot(all_of_it, theme, most=2).top
    room = Bounds(all_of_it, theme, foot.top, rows, rest, gives_way)
    way = UPRIGHT if room.is_upright else ACROSS
    placed = way[view.arrangement](room, picture)
    return Layout(all_of_it, theme, placed, foot, rail)


def _foot(whole: Area, theme: Theme, most: int) -> Area:
    """Lines of the smallest type along the lower edge of the screen; what has no room takes turns.

    On a low screen the numbers need what the rail leaves: one line does until it goes away.
    """
    pixels = theme.text_pixels(TextSize.TINY)
    lines = 1 if whole.width >= WIDE_EMS * pixels else most
    height = lines * math.ceil(LINE_SHARE * pixels)
    top = whole.bottom - theme.gap // 2 - height
    return Area(theme.gap, top, whole.width - 2 * theme.gap, height)
