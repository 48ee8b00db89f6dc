"""The panel beside or under the trace: which layer fills it, and how.

A new kind of panel is a layer, a painter of it, and one line in `PANELS`.
"""

from typing import Protocol

import pygame

from overlays.draw.chart.chart_panel import ChartPanel, draw_corners, pairs_of_chart
from overlays.draw.chroma.chroma_panel import ChromaPanel
from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import Layout
from overlays.draw.layout.lettering import Letters
from overlays.draw.layout.seen import PictureSeen
from overlays.draw.layout.theme import PANEL, Theme
from overlays.draw.moment.layers import ChartShown, ChromaShown, Ghost, Said
from overlays.draw.moment.shown import Measured, Shown


class Panel(Protocol):
    """Paints one kind of layer; kept by the painter from moment to moment."""

    def paint(
        self, surface: pygame.Surface, area: Area, measured: Measured, said: Said, theme: Theme
    ) -> None:
        """Fill the area."""
        ...

    def forget(self) -> None:
        """Paint it anew next time: something has been painted over it."""
        ...


class ChromaDisc:
    """The chroma trace, as large a square as there is room for."""

    def __init__(self, letters: Letters) -> None:
        self._chroma = ChromaPanel(letters)

    def forget(self) -> None:
        """It is painted anew with every frame."""

    def paint(
        self, surface: pygame.Surface, area: Area, measured: Measured, said: Said, theme: Theme
    ) -> None:
        """Fill the area."""
        shown = said.layer(ChromaShown)
        assert shown is not None  # that is why this panel was chosen
        side = min(area.width, area.height)
        square = Area(area.left + (area.width - side) // 2, area.top, side, side)
        for left, right in ((area.left, square.left), (square.right, area.right)):
            surface.fill(PANEL, (left, area.top, right - left, area.height))
        self._chroma.paint(
            surface,
            square,
            measured,
            settings=shown.settings,
            theme=theme,
            gain=shown.gain,
            ghost=said.layer(Ghost),
        )


class Patches:
    """The chart, painted only when it has changed."""

    def __init__(self, letters: Letters) -> None:
        self._chart = ChartPanel(letters)
        self._drawn: object = self

    def forget(self) -> None:
        """Paint it anew next time."""
        self._drawn = self

    def paint(
        self,
        surface: pygame.Surface,
        area: Area,
        measured: Measured,  # noqa: ARG002 - the contract's
        said: Said,
        theme: Theme,
    ) -> None:
        """Fill the area."""
        shown = said.layer(ChartShown)
        reading = None if shown is None else shown.reading
        if self._drawn is reading and reading is not None:
            return
        pairs = [] if reading is None else pairs_of_chart(reading)
        columns = 6 if reading is None else reading.reference.columns
        self._chart.paint(surface, area, pairs, columns, theme)
        self._drawn = reading


PANELS: dict[type, type[ChromaDisc] | type[Patches]] = {
    ChromaShown: ChromaDisc,
    ChartShown: Patches,
}


class PanelPainter:
    """Paints whatever panel a moment has; an empty one while the feed is not to be believed."""

    def __init__(self, letters: Letters) -> None:
        self._letters = letters
        self._panels: dict[type, Panel] = {}
        self._painted: type | None = None

    def forget(self) -> None:
        """Paint it anew next time: something has been painted over it."""
        for panel in self._panels.values():
            panel.forget()

    def paint(self, surface: pygame.Surface, shown: Shown, made: Layout) -> None:
        """The panel at a moment."""
        area, measured = made.panel, shown.readable
        if area is None:
            return
        said = None if measured is None else measured.said
        kind = None if said is None else next((k for k in PANELS if said.layer(k)), None)
        if measured is None or said is None or kind is None:
            surface.fill(PANEL, (area.left, area.top, area.width, area.height))
            self.forget()
            return
        if kind is not self._painted:
            self._painted = kind
            self.forget()
        if kind not in self._panels:
            self._panels[kind] = PANELS[kind](self._letters)
        self._panels[kind].paint(surface, area, measured, said, made.theme)


def draw_chart_marks(
    surface: pygame.Surface, measured: Measured, seen: PictureSeen, theme: Theme
) -> None:
    """The chart's outline on the picture, where there is one."""
    chart = None if measured.said is None else measured.said.layer(ChartShown)
    if chart is None or chart.corners is None:
        return
    draw_corners(surface, seen, chart.corners, chart.reading, chosen=chart.chosen, theme=theme)
