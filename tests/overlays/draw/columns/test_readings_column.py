"""Readings over a picture are painted with every frame, on a backing no higher than they are."""

from dataclasses import replace

import numpy as np
import pygame
import pytest

from overlays.draw.columns import readings_column
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align
from overlays.draw.layout.theme import GROUND, pixel_of
from overlays.draw.layout.views import Over
from overlays.draw.moment.layers import Said
from overlays.draw.moment.report import Report, Row
from overlays.draw.painter import Painter
from overlays.measure.spot.spot import SpotPlace
from tests import views

SHORT = Report("heading", "+1.00", "st", "leave it")
LONG = replace(SHORT, words="open up by a third " * 6, rows=tuple(Row(f"{n}", "1") for n in "abcd"))


def told(moment, report):
    return replace(moment, measured=replace(moment.measured, said=Said(report)))


def painted(painter, moment):
    made = painter.paint(moment)
    return pygame.surfarray.array2d(painter._surface).T & 0xFFFFFF, made


@pytest.fixture
def painter():
    return Painter(pygame.Surface((800, 480), 0, 32))


def backed_rows(pixels, made):
    """Rows of the backing, seen between the lines at its outer edge."""
    column = pixels[: made.trace.top, made.readings.right + made.theme.gap // 2]
    return int((column == pixel_of(GROUND)).sum())


@pytest.mark.parametrize("screen", [(480, 320), (800, 480), (1280, 720)])
def test_the_backing_is_as_high_as_what_is_said(shown, screen):
    painter = Painter(pygame.Surface(screen, 0, 32))
    moment = shown(view=views.CHIPS, painted=False)
    few, made = painted(painter, told(moment, SHORT))
    many, _ = painted(painter, told(moment, LONG))
    again, _ = painted(painter, told(moment, SHORT))
    assert backed_rows(few, made) < backed_rows(many, made)
    np.testing.assert_array_equal(few, again)


@pytest.mark.parametrize(("column", "is_left"), [(20, False), (130, False), (150, True)])
def test_readings_give_way_to_the_spot(shown, measured, painter, column, is_left):
    moment = shown(measured=measured(place=SpotPlace(column, 50, 8)))
    made = painter.paint(moment)
    assert (made.readings.left < made.clear.left) == is_left
    mirrored = replace(moment, monitor=replace(moment.monitor, mirrored=True))
    made = painter.paint(mirrored)
    assert (made.readings.left < made.clear.left) == (column == 20)


def test_where_stripes_are_painted_their_key_stands_in_every_view(shown, painter):
    for view in views.VIEWS:
        on, made = painted(painter, shown(view=view))
        if made.picture is None:
            continue
        off, _ = painted(painter, shown(view=view, painted=False))
        corner = (slice(made.clear.bottom - 60, made.clear.bottom - 8), slice(10, 60))
        if view is views.PICTURE:
            corner = (slice(made.readings.bottom - 60, made.readings.bottom), slice(600, 790))
        if view is views.MATCH:
            corner = (corner[0], slice(made.panel.right + 10, made.panel.right + 60))
        differs = (on[corner] != off[corner]).mean() > 0.2
        assert differs == (Over.STRIPES in view.over), view.name


@pytest.mark.parametrize(("over", "align"), [(0, Align.RIGHT), (1, Align.LEFT)])
def test_the_key_stands_beside_the_plate_where_there_is_room_with_a_gap(
    shown, painter, monkeypatch, over, align
):
    placed = []

    def wide(_shown, clear, _letters, theme):
        return clear.right - Area(20, 0, 100, 0).right - theme.gap // 2 + over

    def pieces(_shown, clear, align, *_more):
        placed.append((clear, align))
        return []

    monkeypatch.setattr(readings_column, "key_width", wide)
    monkeypatch.setattr(readings_column, "key_pieces", pieces)
    moment = shown(view=views.PICTURE)
    made = painter.paint(moment)
    placed.clear()
    plate = Area(20, made.readings.bottom - 40, 100, 30)
    painter._readings._key_of(moment, made, plate)
    ((_, found),) = placed
    assert found is align
