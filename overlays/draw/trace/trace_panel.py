"""The trace with its scales, over the lower edge of the picture or under it."""

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np
import pygame

from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import Layout
from overlays.draw.layout.lettering import Align, Letters, Stamp, Text
from overlays.draw.layout.theme import (
    CHANNELS,
    GROUND,
    PANEL,
    QUIET,
    RED_WORDS,
    TEXT,
    VIOLET_WORDS,
    TextSize,
)
from overlays.draw.layout.views import TraceKind
from overlays.draw.marks.marks import spot_columns
from overlays.draw.moment.layers import Ghost, Said, Strip
from overlays.draw.moment.shown import Measured, Shown
from overlays.draw.picture.locked_surface import unlock
from overlays.draw.trace.ghost import GhostDrawer
from overlays.draw.trace.scales import Kind, Mark, percent_marks, ruler, stop_marks
from overlays.draw.trace.strip import draw_strip
from overlays.draw.trace.trace import Pixels, TraceDrawer, TraceGround, lay_over, trace_ground
from overlays.measure.counting.kernels import Counts
from overlays.measure.counting.yardstick import Yardstick
from overlays.sharing.crew import ALONE, Crew, Task

_Part = tuple[Pixels, TraceDrawer, Counts]
"""An area of the sheet, who draws on it, and the counts that are drawn there."""

LABEL_COLOURS = {
    Kind.PERCENT: QUIET,
    Kind.LIMIT: TEXT,
    Kind.STOP: QUIET,
    Kind.MID_GREY: TEXT,
    Kind.CLIP: RED_WORDS,
    Kind.FLOOR: VIOLET_WORDS,
}

DRAWN_EVERY_NS = 23_000_000
"""A trace stands for so long before another frame's is drawn: of 50 or 60 frames a second it is
every second one's, of up to 43 every one's: an eye sees no more of so many points. The picture
behind it is every frame's own."""


class TracePanel:
    """Paints the trace; keeps its lines while yardstick and size stay as they are."""

    def __init__(self, letters: Letters, crew: Crew = ALONE) -> None:
        self._letters, self._crew = letters, crew
        self._luma = TraceDrawer(TEXT)
        self._ghost = GhostDrawer()
        self._channels = tuple(TraceDrawer(colour) for colour in CHANNELS)
        self._key: tuple[Yardstick, Layout] | None = None
        self._ground: TraceGround | None = None
        self._labels: list[Text] = []
        self._stamps: list[Stamp] = []
        self._strip: tuple[Strip, Area, pygame.Surface] | None = None
        self._kept: Pixels = np.zeros((0, 0), np.uint32)
        self._drawn: tuple[object, ...] = ()
        self._drawn_ns = 0
        self._unfinished: Callable[[], None] | None = None

    def begin(self, shown: Shown, made: Layout) -> list[Task]:
        """What draws the trace of a moment on its sheet, to be done before `paint`.

        Nothing where the one that is there may stand. It may be done beside the picture.
        """
        self._unfinished = None
        measured = shown.readable
        if made.trace is None or measured is None or _strip_of(measured) is not None:
            return []
        ground, sheet = self._prepared(measured.yard, made), self._sheet(_traced(shown, made))
        ghost = (measured.said or Said()).layer(Ghost)
        if not self._is_due(shown, measured, ground, ghost):
            return []
        columns, parts = self._parts(sheet, shown, measured)
        self._unfinished = partial(self._finish, shown, measured, ground, columns, parts)
        return [
            task
            for part, drawer, counts in parts
            for task in drawer.tasks(counts, ground, columns, part, self._crew.workers)
        ]

    def paint(self, surface: pygame.Surface, shown: Shown, made: Layout) -> None:
        """Trace and scales of the moment begun; over a picture they are painted every frame."""
        area, measured = made.trace, shown.readable
        if area is None:
            return
        is_over = made.is_over_picture(area)
        if measured is None:
            # No level is shown that is not the feed's now.
            if not is_over:
                surface.fill(PANEL, (area.left, area.top, area.width, area.height))
            return
        strip = _strip_of(measured)
        if strip is not None:
            self._paint_strip(surface, strip, made)
            return
        if self._unfinished is not None:
            self._unfinished()
            self._unfinished = None
        area = _traced(shown, made)
        sheet = self._sheet(area)
        pixels = pygame.surfarray.pixels2d(surface).T
        target = pixels[area.top : area.bottom, area.left : area.right]
        if is_over:
            lay_over(sheet, target, self._crew)
        else:
            target[:] = sheet
        del pixels, target  # they keep the surface locked
        unlock(surface)
        if not self._stamps:
            back = GROUND if is_over else PANEL
            self._stamps = [self._letters.stamp(back, each, surface) for each in self._labels]
        surface.blits(self._stamps, doreturn=False)
        if shown.trace is not TraceKind.LUMA and measured.census.rgb is not None:
            self._name_channels(surface, area, made)

    def _is_due(
        self, shown: Shown, measured: Measured, ground: TraceGround, ghost: Ghost | None
    ) -> bool:
        """Whether another trace is to be seen than the one on the sheet."""
        how = (ground, shown.trace, shown.monitor.mirrored, measured.place, ghost)
        drawn = (*how, measured.census.rgb is None, self._kept.shape)
        since_ns = measured.frame.time_ns - self._drawn_ns
        if drawn == self._drawn and 0 < since_ns < DRAWN_EVERY_NS:
            return False
        self._drawn, self._drawn_ns = drawn, measured.frame.time_ns
        return True

    def _paint_strip(self, surface: pygame.Surface, strip: Strip, made: Layout) -> None:
        """The strip of a watch, drawn where it is another one than at the last frame."""
        area = free_of(made)
        if self._strip is None or self._strip[:2] != (strip, area):
            draw_strip(surface, self._letters, strip, area, made.theme)
            drawn = surface.subsurface((area.left, area.top, area.width, area.height)).copy()
            self._strip = strip, area, drawn
        else:
            surface.blit(self._strip[2], (area.left, area.top))

    def _parts(
        self, sheet: Pixels, shown: Shown, measured: Measured
    ) -> tuple[tuple[int, int], tuple[_Part, ...]]:
        """The spot's columns, and what is drawn where on a sheet: one trace, or three abreast."""
        columns, census = spot_columns(measured, sheet.shape[1]), measured.census
        if shown.trace is TraceKind.LUMA or census.rgb is None:
            return columns, ((sheet, self._luma, census.levels),)
        third = sheet.shape[1] // 3
        edges = (0, third, 2 * third, sheet.shape[1] + 1)
        sheet[:] = 0
        return (columns[0] // 3, max(columns[1] // 3, columns[0] // 3 + 1)), tuple(
            (sheet[:, edges[n] : edges[n + 1] - 1], drawer, census.rgb[n])
            for n, drawer in enumerate(self._channels)
        )

    def _finish(
        self,
        shown: Shown,
        measured: Measured,
        ground: TraceGround,
        columns: tuple[int, int],
        parts: tuple[_Part, ...],
    ) -> None:
        """A ghost beside what was drawn; column for column as the picture is shown."""
        ghost = (measured.said or Said()).layer(Ghost)
        for part, drawer, _ in parts:
            if ghost is not None and drawer is self._luma:
                self._ghost.lay(ghost, measured.yard.signal, ground, columns, part)
            if shown.monitor.mirrored:
                part[:] = part[:, ::-1].copy()

    def _sheet(self, area: Area) -> Pixels:
        if self._kept.shape != (area.height, area.width):
            self._kept = np.zeros((area.height, area.width), np.uint32)
        return self._kept

    def _prepared(self, yard: Yardstick, made: Layout) -> TraceGround:
        """The lines behind a trace; labels are laid with them."""
        key = (yard, made)
        if self._ground is not None and self._key is not None and self._key == key:
            return self._ground
        area = made.trace
        assert area is not None
        pixels = made.theme.text_pixels(TextSize.TINY)
        gap = self._letters.height(pixels) + 1
        on = ruler(yard, area.height)
        percents, lines = percent_marks(on, gap), stop_marks(yard, on, gap)
        limits = tuple(mark for mark in percents if mark.kind is Kind.LIMIT)
        order = sorted(lines, key=lambda mark: mark.kind is Kind.MID_GREY)
        is_over = made.is_over_picture(area)
        free = free_of(made)
        self._ground = trace_ground(area.height, (*limits, *order), is_over=is_over)
        self._key, self._stamps = key, []
        self._labels = [
            *self._laid(percents, free, Align.LEFT, pixels),
            *self._laid(lines, free, Align.RIGHT, pixels),
        ]
        return self._ground

    def _laid(
        self, marks: tuple[Mark, ...], area: Area, align: Align, pixels: int
    ) -> Iterator[Text]:
        """Labels at an edge of the trace, each at the height of its line and inside the area."""
        height = self._letters.height(pixels)
        highest = area.bottom
        x = area.left + 2 if align is Align.LEFT else area.right - 2
        for mark in marks:
            if not mark.label:
                continue
            top = min(max(area.top + mark.row - height // 2, area.top), area.bottom - height)
            yield Text(mark.label, x, top, pixels, LABEL_COLOURS[mark.kind], align)
            highest = min(highest, top)
        if align is Align.LEFT and highest - area.top >= height:
            yield Text("%", x, area.top, pixels, QUIET, align)

    def _name_channels(self, surface: pygame.Surface, area: Area, made: Layout) -> None:
        pixels = made.theme.text_pixels(TextSize.SMALL)
        third = area.width // 3
        for index, (name, colour) in enumerate(zip("RGB", CHANNELS, strict=True)):
            x = area.left + index * third + made.theme.gap // 2
            self._letters.draw(Text(name, x, area.top + 2, pixels, colour), surface)


def _strip_of(measured: Measured) -> Strip | None:
    """A watch's strip, which lies where the trace does."""
    return (measured.said or Said()).layer(Strip)


def _traced(shown: Shown, made: Layout) -> Area:
    """Where the trace is; three abreast are under no column of their own."""
    assert made.trace is not None
    return made.trace if shown.trace is TraceKind.LUMA else free_of(made)


def free_of(made: Layout) -> Area:
    """The part of the trace that readings do not lie over, as they do on a small screen."""
    area, clear = made.trace, made.clear
    assert area is not None
    if not area.meets(made.readings):
        return area
    left, right = max(area.left, clear.left), min(area.right, clear.right)
    return Area(left, area.top, right - left, area.height)
