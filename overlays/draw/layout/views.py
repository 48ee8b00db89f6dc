"""Where things stand on the screen. Layout only: nothing is drawn here."""

import math
from dataclasses import dataclass, replace
from enum import Enum, Flag, auto

from overlays.draw.layout.theme import TextSize, Theme, theme_for


class Arrangement(Enum):
    """How a view divides the screen."""

    PICTURE = "picture alone"
    TRACE = "picture with the trace under it, readings beside"
    TRACE_AND_PANEL = "the same, with a panel at the foot of the readings"
    PANEL = "a smaller picture with a panel under it, readings beside"
    NUMBER = "one number, no picture"


class Over(Flag):
    """What is laid over a view's picture."""

    NOTHING = 0
    STRIPES = auto()
    """The profile's stripes."""
    EXTREMES = auto()
    """Where the brightest and the darkest thing are."""


class Readings(Enum):
    """What stands in a view's readings."""

    SPOT = "the spot and the range"
    REPORT = "the report of an instrument"


@dataclass(frozen=True, slots=True)
class View:
    """One arrangement of picture and instruments.

    Attributes
    ----------
    name:
        As it is asked for and shown.
    arrangement, over, readings:
        How the screen is divided and what is shown there.
    """

    name: str
    arrangement: Arrangement = Arrangement.TRACE
    over: Over = Over.STRIPES
    readings: Readings = Readings.REPORT


class TraceKind(Enum):
    """What the trace shows."""

    LUMA = "luma"
    RGB = "R G B"


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle in pixels of the screen; `right` and `bottom` are one past the last."""

    left: int
    top: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """One past the last column."""
        return self.left + self.width

    @property
    def bottom(self) -> int:
        """One past the last row."""
        return self.top + self.height

    def inset(self, by: int) -> "Area":
        """Smaller by so much on each side."""
        return Area(self.left + by, self.top + by, self.width - 2 * by, self.height - 2 * by)

    def holds(self, other: "Area") -> bool:
        """Whether the other lies wholly inside."""
        return (
            self.left <= other.left
            and self.top <= other.top
            and other.right <= self.right
            and other.bottom <= self.bottom
        )

    def meets(self, other: "Area") -> bool:
        """Whether the two have a pixel in common."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


@dataclass(frozen=True, slots=True)
class Layout:
    """One view on one screen.

    Attributes
    ----------
    screen:
        All of it.
    picture:
        Where the picture is drawn, its shape kept; None in a view without one.
    trace:
        As wide as the picture and straight under it, or None.
    percent_scale, stops_scale:
        Left and right of the trace.
    readings:
        The column at the right, the plate on the picture, or the whole screen.
    foot:
        Lines across the screen for warnings, profile and feed.
    panel:
        Of a chroma trace or a chart: where others have the trace, or beside it; or None.
    """

    screen: Area
    theme: Theme
    picture: Area | None
    trace: Area | None
    percent_scale: Area | None
    stops_scale: Area | None
    readings: Area
    foot: Area
    panel: Area | None = None


PICTURE_SHARE = 2.0 / 3.0
"""Of width and height of the screen: the most the picture of the expose view takes."""

LEAST_READINGS = 150
"""Pixels across, so that a row of three numbers in the smallest type stands beside the picture."""

DISC_SHARE = 0.42
"""Of the height of the readings: the most the chroma trace at their foot takes."""

LEAST_ROWS_FOR_DISC = 400
"""Of the screen: on a lower one the readings need all of their column, in type that can be read."""

COLOUR_PICTURE_SHARE = 0.4
"""Of the height of the screen: the most the picture of a view of colour takes."""

WIDE_EMS = 80
"""Ems of the smallest type across a screen from which on one line at its foot holds nearly every
warning whole; a narrower one has two."""

LEAST_TRACE = 0.25
"""Of the height of the screen: what the trace keeps under the picture."""

LINE_SHARE = 1.12
"""Of the em: at least the height of a line of the smallest type (`Letters.height`)."""

CHEAP_RATIOS = ((1, 1), (3, 2), (2, 1), (5, 2), (3, 1), (4, 1))
"""Reductions that have a loop of their own (`overlays.draw.picture.picture`)."""

CHEAP_ENOUGH = 0.8
"""A cheap ratio is taken where it costs no more than this share of the size."""


def fitted(columns: int, rows: int, width: int, height: int) -> tuple[int, int]:
    """The largest picture of that shape in a box; even width, at least 2x2."""
    scale = min(width / columns, height / rows)
    wide = max(round(columns * scale) // 2 * 2, 2)
    return min(wide, width), min(max(round(rows * scale), 2), height)


def cheaply_fitted(columns: int, rows: int, width: int, height: int) -> tuple[int, int]:
    """The same, or a little smaller where that makes a ratio with a loop of its own."""
    best = fitted(columns, rows, width, height)
    for source, drawn in CHEAP_RATIOS:
        wide, high = columns * drawn // source, rows * drawn // source
        whole = wide * source == columns * drawn and high * source == rows * drawn
        if whole and wide <= width and high <= height and wide >= CHEAP_ENOUGH * best[0]:
            return wide, high
    return best


def layout(view: View, screen: tuple[int, int], picture: tuple[int, int]) -> Layout:
    """The arrangement of a view.

    Parameters
    ----------
    view:
        Which.
    screen, picture:
        (columns, rows) of the screen and of the feed's picture.
    """
    theme = theme_for(*screen)
    all_of_it = Area(0, 0, *screen)
    foot = _foot(all_of_it, theme)
    whole = Area(0, 0, screen[0], foot.top)
    arrangement = view.arrangement
    if arrangement is Arrangement.PANEL:
        made = _over_panel(whole, theme, picture, screen[1])
    elif arrangement is Arrangement.TRACE:
        made = _expose(whole, theme, picture, screen[1])
    elif arrangement is Arrangement.TRACE_AND_PANEL:
        made = _expose(whole, theme, picture, screen[1])
        made = _with_panel(made) if screen[1] >= LEAST_ROWS_FOR_DISC else made
    elif arrangement is Arrangement.PICTURE:
        width, height = fitted(*picture, *screen)
        area = Area((screen[0] - width) // 2, (screen[1] - height) // 2, width, height)
        inside = all_of_it.inset(theme.gap)
        return Layout(all_of_it, theme, area, None, None, None, inside, foot)
    else:
        made = Layout(whole, theme, None, None, None, None, whole.inset(theme.gap), foot)
    return replace(made, screen=all_of_it, foot=foot)


def _foot(whole: Area, theme: Theme) -> Area:
    """Lines of the smallest type along the lower edge of the screen."""
    pixels = theme.text_pixels(TextSize.TINY)
    lines = 1 if whole.width >= WIDE_EMS * pixels else 2
    height = lines * math.ceil(LINE_SHARE * pixels)
    top = whole.bottom - theme.gap // 2 - height
    return Area(theme.gap, top, whole.width - 2 * theme.gap, height)


def _over_panel(whole: Area, theme: Theme, picture: tuple[int, int], rows: int) -> Layout:
    """Picture and panel share the left two thirds, the panel the larger part."""
    gap = theme.gap
    width = round(whole.width * PICTURE_SHARE)
    box = cheaply_fitted(*picture, width, round(rows * COLOUR_PICTURE_SHARE))
    shown = Area(gap + (width - box[0]) // 2, gap, *box)
    top = shown.bottom + gap
    panel = Area(gap, top, width, whole.height - gap - top)
    start = panel.right + gap
    readings = Area(start, gap, whole.width - gap - start, whole.height - gap - gap // 2)
    return Layout(whole, theme, shown, None, None, None, readings, whole, panel)


def _with_panel(made: Layout) -> Layout:
    """A panel at the foot of the readings, in line with the trace if there is room."""
    trace, readings = made.trace, made.readings
    assert trace is not None
    height = min(trace.height, round(readings.height * DISC_SHARE))
    panel = Area(readings.left, trace.bottom - height, readings.width, height)
    shorter = replace(readings, height=panel.top - made.theme.gap - readings.top)
    return replace(made, readings=shorter, panel=panel)


def _expose(whole: Area, theme: Theme, picture: tuple[int, int], rows: int) -> Layout:
    """Picture and trace at the left; `rows` is the height of the screen with its foot."""
    gap = theme.gap
    left, right = max(round(46 * theme.scale), 34), max(round(52 * theme.scale), 40)
    widest = whole.width - left - right - 3 * gap - LEAST_READINGS
    most = max(min(round(whole.width * PICTURE_SHARE), widest), whole.width // 3)
    highest = min(PICTURE_SHARE * rows, whole.height - 3 * gap - LEAST_TRACE * rows)
    width, height = cheaply_fitted(*picture, most, round(highest))
    shown = Area(left, gap, width, height)
    top = shown.bottom + gap
    trace = Area(left, top, width, whole.height - gap - top)
    scale = Area(0, trace.top, left, trace.height)
    stops = Area(trace.right, trace.top, right, trace.height)
    start = stops.right + gap
    readings = Area(start, gap, whole.width - gap - start, whole.height - gap - gap // 2)
    return Layout(whole, theme, shown, trace, scale, stops, readings, whole)
