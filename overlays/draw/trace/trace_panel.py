"""The trace with its scales, as it hangs under the picture."""

import pygame

from overlays.draw.layout.lettering import Align, Letters, Text
from overlays.draw.layout.theme import (
    CHANNELS,
    GROUND,
    LINE,
    PANEL,
    QUIET,
    RED_WORDS,
    TEXT,
    VIOLET_WORDS,
    TextSize,
)
from overlays.draw.layout.views import Area, Layout, TraceKind
from overlays.draw.marks.marks import spot_columns
from overlays.draw.moment.layers import Ghost, Said, Strip
from overlays.draw.moment.shown import BELIEVED, Shown
from overlays.draw.trace.ghost import GhostDrawer
from overlays.draw.trace.scales import Kind, Mark, percent_marks, ruler, stop_marks
from overlays.draw.trace.strip import draw_strip
from overlays.draw.trace.trace import TraceDrawer, TraceGround, trace_ground
from overlays.measure.counting.yardstick import Yardstick

LABEL_COLOURS = {
    Kind.PERCENT: QUIET,
    Kind.LIMIT: TEXT,
    Kind.STOP: QUIET,
    Kind.MID_GREY: TEXT,
    Kind.CLIP: RED_WORDS,
    Kind.FLOOR: VIOLET_WORDS,
}


class TracePanel:
    """Paints the trace; keeps its lines while yardstick and size stay as they are."""

    def __init__(self, letters: Letters) -> None:
        self._letters = letters
        self._luma = TraceDrawer(TEXT)
        self._ghost = GhostDrawer()
        self._channels = tuple(TraceDrawer(colour) for colour in CHANNELS)
        self._key: tuple[Yardstick, Layout] | None = None
        self._ground: TraceGround | None = None

    def forget(self) -> None:
        """Paint the scales anew next time: something has been painted over them."""
        self._key = None

    def paint(self, surface: pygame.Surface, shown: Shown, made: Layout) -> None:
        """Trace and scales of a moment."""
        area, measured = made.trace, shown.measured
        if area is None:
            return
        rect = pygame.Rect(area.left, area.top, area.width, area.height)
        if measured is None or shown.face not in BELIEVED:
            # No level is shown that is not the feed's now.
            surface.fill(PANEL, rect)
            return
        said = measured.said or Said()
        strip, ghost = said.layer(Strip), said.layer(Ghost)
        if strip is not None:
            whole = Area(0, area.top, area.right, area.height)
            draw_strip(surface, self._letters, strip, whole, made.theme)
            self._blank(surface, made.stops_scale)
            self.forget()
            return
        ground = self._prepared(surface, measured.yard, made)
        columns = spot_columns(measured, area.width)
        mirrored = shown.monitor.mirrored
        pixels = pygame.surfarray.pixels2d(surface).T[area.top : area.bottom]
        census = measured.census
        if shown.trace is TraceKind.LUMA or census.rgb is None:
            target = pixels[:, area.left : area.right]
            self._luma.draw(census.levels, ground, columns, target)
            if ghost is not None:
                self._ghost.lay(ghost, measured.yard.signal, ground, columns, target)
            if mirrored:  # column for column under the picture
                target[:] = target[:, ::-1].copy()
            del pixels, target
            return
        third = area.width // 3
        for index, drawer in enumerate(self._channels):
            left = area.left + index * third
            right = area.right if index == 2 else left + third - 1
            part = (columns[0] // 3, max(columns[1] // 3, columns[0] // 3 + 1))
            third_of_it = pixels[:, left:right]
            drawer.draw(census.rgb[index], ground, part, third_of_it)
            if mirrored:
                third_of_it[:] = third_of_it[:, ::-1].copy()
        del pixels, third_of_it
        self._name_channels(surface, area, made)

    @staticmethod
    def _blank(surface: pygame.Surface, area: Area | None) -> None:
        """Wipe the scales of the trace away where the strip has none."""
        if area is not None:
            surface.fill(GROUND, (area.left, area.top, area.width, area.height))

    def _prepared(self, surface: pygame.Surface, yard: Yardstick, made: Layout) -> TraceGround:
        key = (yard, made)
        if self._ground is not None and self._key is not None and self._key == key:
            return self._ground
        area, scale, stops = made.trace, made.percent_scale, made.stops_scale
        assert area is not None
        assert scale is not None
        assert stops is not None
        pixels = made.theme.text_pixels(TextSize.TINY)
        gap = self._letters.height(pixels) + 1
        on = ruler(yard, area.height)
        percents, lines = percent_marks(on, gap), stop_marks(yard, on, gap)
        limits = tuple(mark for mark in percents if mark.kind is Kind.LIMIT)
        order = sorted(lines, key=lambda mark: mark.kind is Kind.MID_GREY)
        self._ground = trace_ground(area.height, (*limits, *order))
        self._key = key
        self._label(surface, percents, scale, Align.RIGHT, pixels)
        self._label(surface, lines, stops, Align.LEFT, pixels)
        return self._ground

    def _label(
        self,
        surface: pygame.Surface,
        marks: tuple[Mark, ...],
        area: Area,
        align: Align,
        pixels: int,
    ) -> None:
        """Labels beside a trace, each at the height of its line and inside the area."""
        surface.fill(GROUND, (area.left, area.top, area.width, area.height))
        height = self._letters.height(pixels)
        tick = max(pixels // 4, 3)
        highest = area.bottom
        for mark in marks:
            row = area.top + mark.row
            right = align is Align.RIGHT
            edge = area.right - tick if right else area.left
            colour = LABEL_COLOURS[mark.kind] if mark.label else LINE
            surface.fill(colour, (edge, row, tick, 1))
            top = min(max(row - height // 2, area.top), area.bottom - height)
            x = area.right - 2 * tick if right else area.left + 2 * tick
            self._letters.draw(Text(mark.label, x, top, pixels, colour, align), surface)
            highest = min(highest, top)
        if align is Align.RIGHT and highest - area.top >= height:
            unit = Text("%", area.right - 2 * tick, area.top, pixels, QUIET, align)
            self._letters.draw(unit, surface)

    def _name_channels(self, surface: pygame.Surface, area: Area, made: Layout) -> None:
        pixels = made.theme.text_pixels(TextSize.SMALL)
        third = area.width // 3
        for index, (name, colour) in enumerate(zip("RGB", CHANNELS, strict=True)):
            x = area.left + index * third + made.theme.gap // 2
            self._letters.draw(Text(name, x, area.top + 2, pixels, colour), surface)
