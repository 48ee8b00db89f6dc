"""Arrangements of a screen that is higher than wide: everything stands under the picture.

The picture has all of the width. Nothing lies over it but what marks things in it.
"""

from collections.abc import Callable
from dataclasses import replace

from overlays.draw.layout.across import number_alone
from overlays.draw.layout.areas import Area, fitted
from overlays.draw.layout.arrangement import Bounds, Placed
from overlays.draw.layout.views import Arrangement

PICTURE_SHARE = 0.5
"""Of the height of the screen: the most that a picture takes, if it is an upright one itself."""

FLAT = (16, 9)
"""A picture is flat that is wider than this."""

TRACE_SHARE, PANEL_SHARE = 0.14, 0.42
"""The same of the trace, and of what is under picture and trace: a panel."""

BESIDE_SHARE = 0.42
"""Of the width: a panel that stands beside the readings."""


def picture_and_readings(room: Bounds, picture: tuple[int, int]) -> Placed:
    """Readings under the picture."""
    gap, screen = room.theme.gap, room.screen
    box = fitted(*picture, screen.width, round(PICTURE_SHARE * screen.height))
    # Banner and key are as high over a flat picture: it stands lower, so that they do not meet.
    top = max(screen.width * FLAT[1] // FLAT[0] - box[1], 0)
    shown = Area((screen.width - box[0]) // 2, top, *box)
    clear = replace(shown, top=0, height=shown.bottom)
    return Placed(shown, _under(room, shown.bottom + gap), clear)


def with_trace(room: Bounds, picture: tuple[int, int]) -> Placed:
    """The trace hangs under the picture, readings stand under that."""
    made = picture_and_readings(room, picture)
    shown = made.picture
    assert shown is not None
    top = shown.bottom + room.theme.gap // 2
    trace = Area(shown.left, top, shown.width, round(TRACE_SHARE * room.screen.height))
    return replace(made, trace=trace, readings=_under(room, trace.bottom + room.theme.gap))


def with_trace_and_corner(room: Bounds, picture: tuple[int, int]) -> Placed:
    """The same, with a panel at the right of the readings."""
    made, gap = with_trace(room, picture), room.theme.gap
    if room.is_small:
        return made
    readings = made.readings
    side = min(round(BESIDE_SHARE * room.screen.width), readings.height)
    panel = Area(readings.right - side, readings.top, side, side)
    return replace(made, readings=replace(readings, width=readings.width - side - gap), panel=panel)


def with_panel(room: Bounds, picture: tuple[int, int]) -> Placed:
    """A panel under the picture, readings under that; on a small screen they have all of it."""
    made, gap = picture_and_readings(room, picture), room.theme.gap
    if room.is_small:
        return made
    below = made.readings
    height = round(PANEL_SHARE * (room.rest - below.top))
    panel = replace(below, height=height)
    return replace(made, panel=panel, readings=_under(room, panel.bottom + gap))


def _under(room: Bounds, top: int) -> Area:
    gap = room.theme.gap
    return Area(gap, top, room.screen.width - 2 * gap, room.bottom - gap // 2 - top)


UPRIGHT: dict[Arrangement, Callable[[Bounds, tuple[int, int]], Placed]] = {
    Arrangement.PICTURE: picture_and_readings,
    Arrangement.TRACE: with_trace,
    Arrangement.TRACE_AND_CORNER: with_trace_and_corner,
    Arrangement.CORNER: with_panel,
    Arrangement.TABLE: with_panel,
    Arrangement.NUMBER: number_alone,
}
