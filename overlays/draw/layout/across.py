"""Arrangements of a screen that is wider than high: instruments lie over the picture's edges."""

from collections.abc import Callable
from dataclasses import replace

from overlays.draw.layout.areas import Area, cheaply_fitted, fitted
from overlays.draw.layout.arrangement import Bounds, Placed
from overlays.draw.layout.views import Arrangement

READINGS_SHARE, READINGS_EMS, MOST_READINGS = 0.235, 15.0, 0.3125
"""Width of the readings: of the screen's; at least so many ems of the smallest type, in which a row
of three numbers stands; and of a small screen at most so much."""

TRACE_SHARE, SMALL_TRACE_SHARE = 0.24, 0.27
"""Of the height of the screen: the trace while the rail rests. The rail takes of it."""

CORNER_SHARE, LARGE_CORNER_SHARE = 0.34, 0.56
"""Of the height of the screen: a panel in a corner of the picture, with a trace and without."""

TABLE_WIDTH, TABLE_HEIGHT = 0.5, 0.46
"""Of the screen: the most that the picture above a table takes."""

CHEAP_ENOUGH = 0.93
"""Of its largest size: a picture under instruments takes a ratio with a loop of its own from there
on, which costs a third; 0.87 of its area at the least."""

SMALL_TABLE_WIDTH, SMALL_TABLE_HEIGHT = 2.0 / 3.0, 0.4
"""The same on a small screen, where readings keep the whole column at the right."""


def picture_alone(room: Bounds, picture: tuple[int, int]) -> Placed:
    """It fills the screen; readings are a plate on it."""
    width, height = fitted(*picture, room.screen.width, room.screen.height)
    left, top = (room.screen.width - width) // 2, (room.screen.height - height) // 2
    shown = Area(left, top, width, height)
    inside = room.screen.above(room.above_rail).inset(room.theme.gap)
    return Placed(shown, inside, shown.above(room.bottom))


def with_trace(room: Bounds, picture: tuple[int, int]) -> Placed:
    """Readings over one side of the picture, the trace over its lower edge."""
    made = _with_readings(room, picture)
    shown = made.picture
    assert shown is not None
    share = SMALL_TRACE_SHARE if room.is_small else TRACE_SHARE
    top = room.rest - round(share * room.screen.height)
    trace = Area(shown.left, top, shown.width, room.bottom - top)
    if not made.readings.meets(shown):  # beside it they have the whole height
        return replace(made, trace=trace, clear=made.clear.above(top))
    # A small screen has no room for them above it: there they hide the trace of what they hide.
    end = room.bottom if room.is_small else top
    readings = made.readings.above(end - room.theme.gap // 2)
    return replace(made, readings=readings, clear=made.clear.above(top), trace=trace)


def with_trace_and_corner(room: Bounds, picture: tuple[int, int]) -> Placed:
    """The same, with a panel in the corner that the readings leave free."""
    made = with_trace(room, picture)
    return made if room.is_small else _with_corner(made, room, CORNER_SHARE)


def with_corner(room: Bounds, picture: tuple[int, int]) -> Placed:
    """Readings over one side of the picture, a large panel in the corner at the other."""
    return _with_corner(_with_readings(room, picture), room, LARGE_CORNER_SHARE)


def above_table(room: Bounds, picture: tuple[int, int]) -> Placed:
    """A smaller picture, readings beside it, and under both what takes the width of the screen."""
    gap, screen = room.theme.gap, room.screen
    width = SMALL_TABLE_WIDTH if room.is_small else TABLE_WIDTH
    height = SMALL_TABLE_HEIGHT if room.is_small else TABLE_HEIGHT
    most = round(width * screen.width) - gap
    box = cheaply_fitted(*picture, most, round(height * screen.height))
    across = most if room.is_small else box[0]
    shown = Area(gap + (across - box[0]) // 2, gap, *box)
    top, start = shown.bottom + gap, gap + across + gap
    readings = Area(start, gap, screen.width - gap - start, shown.height)
    panel = Area(gap, top, screen.width - 2 * gap, room.bottom - gap // 2 - top)
    if room.is_small:
        panel = replace(panel, width=across)
        readings = replace(readings, height=room.bottom - gap // 2 - gap)
    return Placed(shown, readings, shown, panel=panel)


def number_alone(room: Bounds, _picture: tuple[int, int]) -> Placed:
    """One number over the whole screen."""
    whole = Area(0, 0, room.screen.width, room.bottom)
    return Placed(None, whole.inset(room.theme.gap), whole)


def _with_readings(room: Bounds, picture: tuple[int, int]) -> Placed:
    """The picture as large as it can be; readings over a side, or beside it if that has room."""
    gap, screen = room.theme.gap, room.screen
    shown = Area(0, 0, *cheaply_fitted(*picture, screen.width, screen.height, CHEAP_ENOUGH))
    wanted = max(round(READINGS_SHARE * screen.width), room.ems(READINGS_EMS))
    width = min(wanted, round(MOST_READINGS * screen.width))
    height = room.bottom - gap - gap // 2
    if screen.width - shown.right >= width + 2 * gap:
        start = shown.right + gap
        readings = Area(start, gap, screen.width - gap - start, height)
        return Placed(shown, readings, shown.above(room.bottom))
    if room.gives_way:
        readings = Area(gap, gap, width, height)
        start = min(readings.right + gap, shown.right)
        clear = Area(start, shown.top, shown.right - start, shown.height)
    else:
        readings = Area(screen.width - gap - width, gap, width, height)
        clear = replace(shown, width=min(readings.left - gap, shown.right) - shown.left)
    return Placed(shown, readings, clear.above(room.bottom))


def _with_corner(made: Placed, room: Bounds, share: float) -> Placed:
    clear = made.clear
    side = min(round(share * room.screen.height), clear.width, clear.height)
    left = clear.right - side if room.gives_way else clear.left
    return replace(made, panel=Area(left, clear.bottom - side, side, side))


ACROSS: dict[Arrangement, Callable[[Bounds, tuple[int, int]], Placed]] = {
    Arrangement.PICTURE: picture_alone,
    Arrangement.TRACE: with_trace,
    Arrangement.TRACE_AND_CORNER: with_trace_and_corner,
    Arrangement.CORNER: with_corner,
    Arrangement.TABLE: above_table,
    Arrangement.NUMBER: number_alone,
}
