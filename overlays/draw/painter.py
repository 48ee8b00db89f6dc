"""Paints a moment onto a surface: picture, trace, readings, and what the feed's state asks for."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pygame

from overlays.draw.columns.foot import foot_pieces
from overlays.draw.columns.giant import giant_pieces
from overlays.draw.columns.help import help_pieces
from overlays.draw.columns.plates import (
    alert_pieces,
    banner_pieces,
    note_pieces,
    plate_pieces,
    reading_pieces,
    under_banner,
)
from overlays.draw.columns.readouts import expose_pieces
from overlays.draw.columns.report import report_pieces
from overlays.draw.layout.lettering import Block, Letters, Piece, Swatch, Text
from overlays.draw.layout.theme import GREY_CARD, GROUND, PANEL, TEAL
from overlays.draw.layout.views import Area, Arrangement, Layout, Over, Readings, layout
from overlays.draw.marks.evenness_map import draw_evenness
from overlays.draw.marks.marks import draw_marks
from overlays.draw.marks.pin_marks import draw_pins
from overlays.draw.moment.layers import EvennessMap, PinFlags, Said
from overlays.draw.moment.shown import FROZEN, Face, Shown
from overlays.draw.panels import PanelPainter, draw_chart_marks
from overlays.draw.picture.picture import PictureDrawer
from overlays.draw.picture.stripes import PaintedBand, painted_bands, swatch
from overlays.draw.trace.trace_panel import TracePanel
from overlays.errors import DrawingError
from overlays.measure.counting.bands import CodeBand
from overlays.measure.range.range import RangeReading
from overlays.measure.spot.spot import SpotReading

Pixels = npt.NDArray[np.uint32]

MASKS = (0xFF0000, 0x00FF00, 0x0000FF)
"""Of the surfaces that pixels are written to directly."""

USUAL_PICTURE = (16, 9)
"""Shape the layout assumes before the first frame."""

DIMMED = (96, 96, 96)
"""What a stale picture is multiplied by, of 255."""


class Painter:
    """Paints one screen. Belongs to the thread that owns the surface."""

    def __init__(self, surface: pygame.Surface) -> None:
        if surface.get_bitsize() != 32 or surface.get_masks()[:3] != MASKS:
            raise DrawingError(
                f"a surface of {surface.get_bitsize()} bits with masks {surface.get_masks()}; "
                "32 bits with red above green above blue are needed"
            )
        self._surface = surface
        self._letters = Letters()
        self._picture = PictureDrawer()
        self._trace = TracePanel(self._letters)
        self._panel = PanelPainter(self._letters)
        self._layout: Layout | None = None
        self._column: list[Piece] = []
        self._foot: list[Piece] = []
        self._said: tuple[object, ...] = ()
        self._bands: tuple[tuple[CodeBand, ...], int, tuple[PaintedBand, ...]] | None = None

    @property
    def missing(self) -> str:
        """One sentence where the typeface is not installed, else empty."""
        return self._letters.missing

    def paint(self, shown: Shown) -> Layout:
        """Paint everything that has changed; the layout it was painted by."""
        made = self._arranged(shown)
        picture = made.picture
        if picture is None:
            is_report = shown.view.readings is Readings.REPORT
            said = shown.measured.said if is_report and shown.measured is not None else None
            rest = (said, shown.face_words, shown.note, shown.alert, shown.help, shown.turn)
            if not self._is_news((*_said(shown), *rest)):
                return made
            self._surface.fill(GROUND)
            pieces = giant_pieces if is_report else reading_pieces
            self._write(pieces(shown, made.readings, self._letters, made.theme), shown)
        else:
            self._paint_picture(shown, made, picture)
            self._trace.paint(self._surface, shown, made)
            self._panel.paint(self._surface, shown, made)
            self._paint_readings(shown, made, picture)
        self._paint_foot(shown, made)
        over = _above_foot(picture or made.screen, made)
        self._write(note_pieces(shown.note, over, self._letters, made.theme), shown)
        keys = help_pieces(shown.help, made.screen, self._letters, made.theme, shown.turn)
        self._write(keys, shown)
        return made

    def _arranged(self, shown: Shown) -> Layout:
        frame = None if shown.measured is None else shown.measured.frame
        shape = USUAL_PICTURE if frame is None else (frame.columns, frame.rows)
        if shape == USUAL_PICTURE:
            shape = (1920, 1080)
        made = layout(shown.view, self._surface.get_size(), shape)
        if made != self._layout or shown.help:
            # Help lies over everything: what is under it is painted anew.
            self._layout = None if shown.help else made
            self._surface.fill(GROUND)
            self._column, self._foot, self._said = [], [], ()
            self._trace.forget()
            self._panel.forget()
        return made

    def _paint_picture(self, shown: Shown, made: Layout, area: Area) -> None:
        measured = shown.measured
        rect = pygame.Rect(area.left, area.top, area.width, area.height)
        foot = made.foot
        if area.meets(foot):  # it may reach beyond a picture that is narrower than the screen
            self._surface.fill(GROUND, (foot.left, foot.top, foot.width, foot.height))
        if measured is None or shown.face is Face.LOST:
            self._surface.fill(PANEL, rect)
        else:
            said = measured.said or Said()
            even, pins = said.layer(EvennessMap), said.layer(PinFlags)
            # Over colours that are to be judged, and over a map, stripes would be in the way.
            striped = shown.painted and Over.STRIPES in shown.view.over and even is None
            bands = self.bands(shown, area.width) if striped else ()
            pixels = pygame.surfarray.pixels2d(self._surface).T
            target = pixels[area.top : area.bottom, area.left : area.right]
            self._picture.draw(measured.frame, measured.yard, bands, target)
            del pixels, target  # they keep the surface locked
            if shown.face in FROZEN:
                self._surface.fill(DIMMED, rect, pygame.BLEND_MULT)
            else:
                draw_marks(self._surface, shown, measured, made, area)
                size = (measured.frame.columns, measured.frame.rows)
                if pins is not None:
                    draw_pins(self._surface, self._letters, pins.pins, size, area, made.theme)
                draw_chart_marks(self._surface, measured, area, made.theme)
                if even is not None:
                    draw_evenness(self._surface, self._letters, even.even, size, area, made.theme)
        if shown.face is Face.HELD:
            edge = max(made.theme.gap // 3, 3)
            pygame.draw.rect(self._surface, TEAL, rect, edge)
        banner = banner_pieces(shown, area, self._letters, made.theme)
        free = under_banner(banner, area)
        alert = alert_pieces(shown.alert, free, self._letters, made.theme)
        self._write([*banner, *alert], shown)

    def _paint_readings(self, shown: Shown, made: Layout, picture: Area) -> None:
        if shown.view.arrangement is Arrangement.PICTURE:
            inside = picture.inset(made.theme.gap)
            if foot_pieces(shown, made, self._letters):
                inside = _above_foot(inside, made)
            self._write(plate_pieces(shown, inside, self._letters, made.theme), shown)
            return
        if not self._is_news((*_said(shown), shown.turn)):
            return
        if shown.view.readings is Readings.REPORT:
            said = None if shown.measured is None else shown.measured.said
            report = None if said is None else said.report
            pieces = report_pieces(report, shown, made.readings, self._letters, made.theme)
        else:
            pieces = expose_pieces(shown, made.readings, self._letters, made.theme)
        if pieces != self._column:
            self._column = pieces
            area = made.readings
            self._surface.fill(GROUND, (area.left, area.top, area.width, area.height))
            self._write(pieces, shown)

    def _paint_foot(self, shown: Shown, made: Layout) -> None:
        """Warnings, profile and feed; over a picture that fills the screen, anew with it."""
        pieces, over = foot_pieces(shown, made, self._letters), made.picture
        if over is not None and over.meets(made.foot):
            self._write(pieces, shown)
        elif pieces != self._foot or shown.view.arrangement is Arrangement.NUMBER:
            area = made.foot
            self._surface.fill(GROUND, (area.left, area.top, area.width, area.height))
            self._write(pieces, shown)
        self._foot = pieces

    def _is_news(self, said: tuple[object, ...]) -> bool:
        """Most frames bring a new picture and the numbers of the one before."""
        same = len(said) == len(self._said) and all(map(_same, said, self._said))
        self._said = said
        return not same

    def bands(self, shown: Shown, columns: int) -> tuple[PaintedBand, ...]:
        """The profile's stripes for a picture of so many columns."""
        codes = tuple(stripe.codes for stripe in shown.stripes if stripe.codes is not None)
        if self._bands is None or self._bands[:2] != (codes, columns):
            theme = layout(shown.view, self._surface.get_size(), (16, 9)).theme
            self._bands = (codes, columns, painted_bands(codes, theme, columns))
        return self._bands[2]

    def _write(self, pieces: list[Piece], shown: Shown) -> None:
        for piece in pieces:
            if isinstance(piece, Text):
                self._letters.draw(piece, self._surface)
            elif isinstance(piece, Block):
                area = piece.area
                self._surface.fill(piece.colour, (area.left, area.top, area.width, area.height))
            else:
                self._swatch(piece, shown)

    def _swatch(self, piece: Swatch, shown: Shown) -> None:
        area, stripe = piece.area, shown.stripes[piece.stripe]
        self._surface.fill(GREY_CARD, (area.left, area.top, area.width, area.height))
        if stripe.codes is None:
            return
        theme = (
            self._layout.theme
            if self._layout
            else layout(shown.view, self._surface.get_size(), (16, 9)).theme
        )
        codes = tuple(each.codes for each in shown.stripes if each.codes is not None)
        made = painted_bands(codes, theme, area.width)[codes.index(stripe.codes)]
        pixels = pygame.surfarray.pixels2d(self._surface).T
        pixels[area.top : area.bottom, area.left : area.right] = swatch(
            made.pattern, GREY_CARD, area.height, area.width
        )


def _above_foot(area: Area, made: Layout) -> Area:
    """The part of an area that lies above the foot."""
    return replace(area, height=min(area.bottom, made.foot.top) - area.top)


def _said(shown: Shown) -> tuple[object, ...]:
    """All that the column of readings is made of."""
    readable = shown.readable
    numbers = (
        (None, None, ())
        if readable is None
        else (readable.spot, readable.range, readable.frame.notes)
    )
    return (
        *numbers,
        shown.face,
        shown.source,
        shown.stripes,
        shown.selected,
        shown.painted,
        shown.warnings,
    )


def _same(one: object, other: object) -> bool:
    """Readings hold arrays and are told apart by identity; all else by what it is."""
    return one is other or (not isinstance(one, SpotReading | RangeReading) and one == other)
