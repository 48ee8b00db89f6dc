"""Paints a moment onto a surface: picture, trace, readings, and what the feed's state asks for."""

import numpy as np
import numpy.typing as npt
import pygame

from overlays.draw.columns.foot import Foot
from overlays.draw.columns.giant import giant_pieces
from overlays.draw.columns.help import help_pieces
from overlays.draw.columns.ink import Ink
from overlays.draw.columns.lineup_picture import lineup_pieces
from overlays.draw.columns.monitor_plate import monitor_pieces
from overlays.draw.columns.plates import (
    alert_pieces,
    banner_pieces,
    note_pieces,
    under_banner,
)
from overlays.draw.columns.readings_column import ReadingsPanel
from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import Layout, layout
from overlays.draw.layout.lettering import Letters, Piece, Stamp
from overlays.draw.layout.monitor import Monitor, shape_of
from overlays.draw.layout.panel_size import PanelSize
from overlays.draw.layout.seen import PictureSeen, seen_on
from overlays.draw.layout.theme import GROUND, PANEL, TEAL, theme_for
from overlays.draw.layout.views import Arrangement, View
from overlays.draw.marks.evenness_map import draw_evenness
from overlays.draw.marks.frame_lines import draw_frame_lines
from overlays.draw.marks.marks import draw_marks, spot_area
from overlays.draw.marks.pin_marks import draw_pins
from overlays.draw.moment.layers import EvennessMap, PinFlags, Said
from overlays.draw.moment.lineup import Lineup
from overlays.draw.moment.news import News, said_of
from overlays.draw.moment.shown import FROZEN, Face, Measured, Shown
from overlays.draw.panels import PanelPainter, draw_chart_marks
from overlays.draw.picture.edges import light_edges
from overlays.draw.picture.hidden import NOTHING, Hidden
from overlays.draw.picture.locked_surface import unlock
from overlays.draw.picture.part import magnified
from overlays.draw.picture.picture import PictureDrawer
from overlays.draw.picture.stop_map import painted_ends
from overlays.draw.picture.stripes import (
    PaintedBand,
    painted_bands,
)
from overlays.draw.rail.index_pieces import figures_of, index_pieces
from overlays.draw.rail.rail_pieces import rail_pieces
from overlays.draw.trace.trace_panel import TracePanel
from overlays.errors import DrawingError
from overlays.measure.counting.bands import CodeBand
from overlays.sharing.crew import ALONE, Crew

Pixels = npt.NDArray[np.uint32]
_Asked = tuple[View, tuple[int, int], tuple[int, int], bool, PanelSize | None]
"""What a layout is made of: view, sizes of screen and picture, whether there is a rail, panel."""

MASKS = (0xFF0000, 0x00FF00, 0x0000FF)
"""Of the surfaces that pixels are written to directly."""

USUAL_PICTURE = (16, 9)
"""Shape the layout assumes before the first frame."""

INDEX = View("index", Arrangement.NUMBER)
"""How the screen is divided while the views are shown, or the panel is set."""

DIMMED = (96, 96, 96)
"""What a stale picture is multiplied by, of 255."""


class Painter:
    """Paints one screen. Belongs to the thread that owns the surface."""

    def __init__(
        self, surface: pygame.Surface, crew: Crew = ALONE, panel: PanelSize | None = None
    ) -> None:
        if surface.get_bitsize() != 32 or surface.get_masks()[:3] != MASKS:
            raise DrawingError(
                f"a surface of {surface.get_bitsize()} bits with masks {surface.get_masks()}; "
                "32 bits with red above green above blue are needed"
            )
        self._surface, self._crew, self._panel_size = surface, crew, panel
        self._letters = Letters()
        self._ink, self._lines = Ink(surface, self._letters), Foot(self._letters)
        self._picture = PictureDrawer()
        self._trace = TracePanel(self._letters, crew)
        self._panel = PanelPainter(self._letters)
        self._layout: Layout | None = None
        self._usual: tuple[_Asked, Layout] | None = None
        self._readings = ReadingsPanel(self._letters, self._ink)
        self._news = News()
        self._foot: list[Piece] = []
        self._foot_image: tuple[object, Stamp] | None = None
        self._rail: list[Piece] = []
        self.seen: PictureSeen | None = None
        self._labels: tuple[object, list[Piece]] = (None, [])
        self._bands: tuple[tuple[CodeBand, ...], int, tuple[PaintedBand, ...]] | None = None

    @property
    def missing(self) -> str:
        """One sentence where the typeface is not installed, else empty."""
        return self._letters.missing

    def paint(self, shown: Shown) -> Layout:
        """Paint everything that has changed; the layout it was painted by."""
        made = self._arranged(shown)
        if shown.lineup is not None:
            self._paint_lineup(shown, shown.lineup, made)
            return made
        picture = made.picture
        if picture is None:
            self.seen = None
            if not self._paint_number(shown, made):
                return made
        else:
            self._readings.lay(self._surface, shown, made)
            self._paint_picture(shown, made, picture)
            self._trace.paint(self._surface, shown, made)
            self._panel.paint(self._surface, shown, made)
            self._readings.paint(self._surface, shown, made)
        self._paint_foot(shown, made)
        self._paint_rail(shown, made)
        over = made.clear if picture is None else self._readings.free(made)
        self._ink.write(note_pieces(shown.note, over, self._letters, made.theme), shown)
        keys = help_pieces(shown.help, made.screen, self._letters, made.theme, shown.turn)
        self._ink.write(keys, shown)
        return made

    def _paint_number(self, shown: Shown, made: Layout) -> bool:
        """The whole of a screen without a picture; whether there was anything new to paint."""
        index = (shown.rail, shown.index, figures_of(shown))
        if not self._news.is_new((*said_of(shown), shown.help, *index)):
            return False
        self._surface.fill(GROUND)
        self._rail, self._foot = [], []
        fill = index_pieces if shown.index else giant_pieces
        self._ink.write(fill(shown, made.readings, self._letters, made.theme), shown)
        return True

    def _paint_lineup(self, shown: Shown, lineup: Lineup, made: Layout) -> None:
        """What the panel is set by, down to the rail: nothing of the feed is seen meanwhile."""
        self.seen = None
        if not self._news.is_new((lineup, shown.rail, shown.alert)):
            return
        self._surface.fill(GROUND)
        self._rail, self._foot = [], []
        rows = made.rail.top if shown.rail else made.screen.bottom
        area = Area(0, 0, made.screen.width, rows)
        pieces = lineup_pieces(lineup, area, self._letters, made.theme)
        pieces += alert_pieces(shown.alert, area, self._letters, made.theme)
        self._ink.write(pieces, shown)
        self._paint_rail(shown, made)

    def _arranged(self, shown: Shown) -> Layout:
        frame = None if shown.measured is None else shown.measured.frame
        shape = USUAL_PICTURE if frame is None else (frame.columns, frame.rows)
        if shape == USUAL_PICTURE:
            shape = (1920, 1080)
        shape = shape_of(shown.monitor, *shape)
        view = INDEX if shown.index or shown.lineup is not None else shown.view
        made = self._giving_way(shown, view, shape)
        if (made is not self._layout and made != self._layout) or shown.help:
            # Help lies over everything: what is under it is painted anew.
            self._layout = None if shown.help else made
            self._surface.fill(GROUND)
            self._foot, self._rail = [], []
            for each in (self._news, self._readings, self._panel):
                each.forget()
        return made

    def _giving_way(self, shown: Shown, view: View, shape: tuple[int, int]) -> Layout:
        """Readings over the picture stand at the right, or at the left if the spot is there."""
        panel = shown.monitor.panel or self._panel_size
        asked = (view, self._surface.get_size(), shape, bool(shown.rail), panel)
        if self._usual is None or self._usual[0] != asked:
            # Kept here too: to find it among all layouts, each enumeration in it is hashed anew.
            self._usual = asked, _laid_out(asked, gives_way=False)
        made, measured = self._usual[1], shown.measured
        picture = made.picture
        if picture is None or measured is None or not made.is_over_picture(made.readings):
            return made
        if view.arrangement is Arrangement.PICTURE:
            return made
        spot = spot_area(measured, _seen(shown.monitor, measured, picture))
        if spot.left + spot.width // 2 < made.clear.right:
            return made
        return _laid_out(asked, gives_way=True)

    def _paint_picture(self, shown: Shown, made: Layout, area: Area) -> None:
        measured = shown.measured
        rect = pygame.Rect(area.left, area.top, area.width, area.height)
        for each in (made.foot, made.trace):  # what lies over the picture reaches beyond it
            if each is not None and area.meets(each) and not area.holds(each):
                self._surface.fill(GROUND, (each.left, each.top, each.width, each.height))
        if measured is None or shown.face is Face.LOST:
            self._surface.fill(PANEL, rect)
            self.seen = None
        else:
            self._paint_frame(shown, made, measured, area)
        if shown.face is Face.HELD:
            edge = max(made.theme.gap // 3, 3)
            pygame.draw.rect(self._surface, TEAL, rect, edge)
        over, letters, theme = made.clear, self._letters, made.theme
        banner = banner_pieces(shown, over, letters, theme)
        banner += monitor_pieces(shown, under_banner(banner, over), letters, theme)
        alert = alert_pieces(shown.alert, under_banner(banner, over), letters, theme)
        self._ink.write([*banner, *alert], shown)

    def _paint_frame(self, shown: Shown, made: Layout, measured: Measured, area: Area) -> None:
        """The frame, and what lies on it."""
        said = measured.said or Said()
        even, pins = said.layer(EvennessMap), said.layer(PinFlags)
        if shown.monitor.stop_map:
            bands = painted_ends(measured.yard, made.theme, area.width)
        else:
            bands = self.bands(shown, area.width) if shown.is_striped else ()
        self.seen = seen = _seen(shown.monitor, measured, area)
        pixels = pygame.surfarray.pixels2d(self._surface).T
        target = pixels[area.top : area.bottom, area.left : area.right]
        frame = magnified(measured.frame, seen.part)
        has_ground = shown.view.arrangement is not Arrangement.PICTURE
        under = Hidden.under(area, made.foot, self._readings.ground) if has_ground else NOTHING
        how = measured.yard, bands, target, shown.monitor, self._crew, under
        traced = self._trace.begin(shown, made)
        self._crew.together([*self._picture.tasks(frame, *how), *traced])
        if shown.monitor.has_edges:
            light_edges(target)
        del pixels, target, how  # they keep the surface locked
        unlock(self._surface)
        if shown.face in FROZEN:
            rect = pygame.Rect(area.left, area.top, area.width, area.height)
            self._surface.fill(DIMMED, rect, pygame.BLEND_MULT)
        else:
            size = (measured.frame.columns, measured.frame.rows)
            draw_frame_lines(self._surface, shown.monitor, seen, size, made.theme)
            draw_marks(self._surface, shown, measured, made, seen)
            if pins is not None:
                draw_pins(self._surface, self._letters, pins.pins, seen, made.theme)
            draw_chart_marks(self._surface, measured, seen, made.theme)
            if even is not None:
                draw_evenness(self._surface, self._letters, even.even, seen, made.theme)

    def _paint_foot(self, shown: Shown, made: Layout) -> None:
        """Warnings, profile and feed; over a picture that fills the screen, anew with it."""
        pieces, over = self._lines.pieces(shown, made), made.picture
        area = made.foot
        if over is not None and over.meets(area):
            if shown.view.arrangement is Arrangement.PICTURE:
                self._ink.write(pieces, shown)
            else:
                rows = made.rail.top if shown.rail else made.screen.bottom
                band = (0, area.top, made.screen.width, rows - area.top)
                self._paint_foot_band(shown, pieces, band)
        elif pieces != self._foot or shown.view.arrangement is Arrangement.NUMBER:
            self._surface.fill(GROUND, (area.left, area.top, area.width, area.height))
            self._ink.write(pieces, shown)
        self._foot = pieces

    def _paint_foot_band(
        self, shown: Shown, pieces: list[Piece], band: tuple[int, int, int, int]
    ) -> None:
        """A foot on its ground, as it was painted when its words were new."""
        kept = self._foot_image
        if kept is not None and kept[0] == (band, pieces):
            self._surface.blit(*kept[1])
            return
        self._surface.fill(GROUND, band)
        self._ink.write(pieces, shown)
        self._foot_image = (band, pieces), (self._surface.subsurface(band).copy(), band[:2])

    def _paint_rail(self, shown: Shown, made: Layout) -> None:
        """The labels over the buttons, which stay where nothing moves under them."""
        said, picture = (shown.rail, made.rail), made.picture
        if self._labels[0] != said:
            self._labels = said, rail_pieces(*said, self._letters, made.theme)
        pieces = self._labels[1]
        if pieces != self._rail or (picture is not None and picture.bottom > made.rail.top):
            self._ink.write(pieces, shown)
        self._rail = pieces

    def bands(self, shown: Shown, columns: int) -> tuple[PaintedBand, ...]:
        """The profile's stripes for a picture of so many columns."""
        codes = tuple(stripe.codes for stripe in shown.stripes if stripe.codes is not None)
        if self._bands is None or self._bands[:2] != (codes, columns):
            theme = theme_for(*self._surface.get_size())
            self._bands = (codes, columns, painted_bands(codes, theme, columns))
        return self._bands[2]


def _laid_out(asked: _Asked, *, gives_way: bool) -> Layout:
    view, size, shape, has_rail, panel = asked
    return layout(view, size, shape, has_rail=has_rail, gives_way=gives_way, panel=panel)


def _seen(monitor: Monitor, measured: Measured, area: Area) -> PictureSeen:
    """Where on the screen the frame's pixels are."""
    frame, place = measured.frame, measured.place
    spot = (place.left + place.size // 2, place.top + place.rows // 2)
    return seen_on(monitor, area, (frame.columns, frame.rows), spot)
