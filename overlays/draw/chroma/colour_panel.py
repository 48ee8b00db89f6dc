"""The instrument of colour: the chroma trace, or the chart."""

import pygame

from overlays.draw.chart.chart_panel import ChartPanel, draw_corners, pairs_of_chart
from overlays.draw.chroma.chroma_panel import ChromaPanel
from overlays.draw.layout.lettering import Letters
from overlays.draw.layout.theme import PANEL, Theme
from overlays.draw.layout.views import WITH_CHROMA, Area, Layout
from overlays.draw.moment.more import More
from overlays.draw.moment.shown import Measured, Shown


class ColourPanel:
    """Paints it in the views that have one; a chart only when it has changed."""

    def __init__(self, letters: Letters) -> None:
        self._chroma = ChromaPanel(letters)
        self._chart = ChartPanel(letters)
        self._drawn: object = self

    def forget(self) -> None:
        """Paint it anew next time: something has been painted over it."""
        self._drawn = self

    def paint(self, surface: pygame.Surface, shown: Shown, made: Layout) -> None:
        """The instrument at a moment; empty while the feed is not to be believed."""
        area = made.instrument
        if area is None:
            return
        measured = shown.readable
        more = None if measured is None else measured.more
        if shown.view in WITH_CHROMA:
            self._paint_chroma(surface, area, measured, more, made.theme)
            return
        chart = None if more is None else more.chart
        reading = None if chart is None else chart.reading
        if self._drawn is reading and reading is not None:
            return
        pairs = [] if reading is None else pairs_of_chart(reading)
        columns = 6 if reading is None else reading.reference.columns
        self._chart.paint(surface, area, pairs, columns, made.theme)
        self._drawn = reading

    def _paint_chroma(
        self,
        surface: pygame.Surface,
        area: Area,
        measured: Measured | None,
        more: More | None,
        theme: Theme,
    ) -> None:
        side = min(area.width, area.height)
        square = Area(area.left + (area.width - side) // 2, area.top, side, side)
        shown = None if more is None else more.chroma
        if measured is None or more is None or shown is None:
            surface.fill(PANEL, (area.left, area.top, area.width, area.height))
            return
        for left, right in ((area.left, square.left), (square.right, area.right)):
            surface.fill(PANEL, (left, area.top, right - left, area.height))
        self._chroma.paint(
            surface,
            square,
            measured,
            settings=shown.settings,
            theme=theme,
            gain=shown.gain,
            ghost=more.ghost,
        )


def draw_chart_marks(
    surface: pygame.Surface, measured: Measured, picture: Area, theme: Theme
) -> None:
    """The chart's outline on the picture, where there is one."""
    chart = None if measured.more is None else measured.more.chart
    if chart is None or chart.corners is None:
        return
    size = (measured.frame.columns, measured.frame.rows)
    draw_corners(
        surface,
        picture,
        chart.corners,
        chart.reading,
        size=size,
        chosen=chart.chosen,
        theme=theme,
    )
