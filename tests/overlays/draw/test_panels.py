"""The panels, each in its place and empty where nothing is believed."""

from dataclasses import replace

import numpy as np
import pygame
import pytest

from overlays.draw.layout.layouts import layout
from overlays.draw.layout.lettering import Letters
from overlays.draw.layout.seen import Part, PictureSeen
from overlays.draw.layout.theme import AMBER, PANEL, pixel_of
from overlays.draw.moment.layers import ChartShown, ChromaShown, Ghost, Said
from overlays.draw.moment.shown import Face, Measured
from overlays.draw.panels import PanelPainter, draw_chart_marks
from overlays.measure.balance.balance import BalanceSettings
from overlays.measure.chart.chart import read_chart
from overlays.measure.chart.reference import CHART24
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from tests import views
from tests.chart_frames import painted as painted_chart
from tests.chart_frames import upright
from tests.colour_frames import frame_of

BT709 = published_gamut("BT.709")


@pytest.fixture(scope="module")
def chart():
    linear = np.maximum(CHART24.linear(BT709), 1e-3)
    frame = frame_of(painted_chart(CHART24, upright(), linear), noise=0.5)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    census = take_census(frame, yard, Wants.LEVELS | Wants.CHROMA)
    reading = read_chart(frame, yard, BT709, CHART24, upright())
    said = Said(layers=(ChartShown(reading, reading.corners, 1),))
    return Measured(frame, yard, census, SpotPlace(180, 130, 8), None, None, said=said)


@pytest.fixture(scope="module")
def chroma(chart):
    return replace(chart, said=Said(layers=(ChromaShown(BalanceSettings(BT709)),)))


def pixels_of(surface, area):
    return (pygame.surfarray.array2d(surface).T & 0xFFFFFF)[
        area.top : area.bottom, area.left : area.right
    ]


def painted(surface, panel, made, moment):
    panel.paint(surface, moment, made)
    return pixels_of(surface, made.panel)


@pytest.mark.parametrize(
    ("view", "of"), [(views.BALANCE, "chroma"), (views.CHART, "chart"), (views.MATCH, "chroma")]
)
@pytest.mark.parametrize("screen", [(800, 480), (1280, 720)])
def test_painted_when_live_and_empty_when_stale(shown, request, view, of, screen):
    moment = request.getfixturevalue(of)
    surface = pygame.Surface(screen, 0, 32)
    panel, made = PanelPainter(Letters()), layout(view, screen, (360, 260))
    now = shown(view=view, measured=moment, stripes=())
    assert len(np.unique(painted(surface, panel, made, now))) > 30
    stale = replace(now, face=Face.STALE)
    assert (painted(surface, panel, made, stale) == pixel_of(PANEL)).all()
    assert len(np.unique(painted(surface, panel, made, now))) > 30


@pytest.mark.parametrize("layers", [(), (ChartShown(None, None, None),)])
def test_without_anything_to_show_the_panel_is_empty(shown, chart, layers):
    surface = pygame.Surface((800, 480), 0, 32)
    panel, made = PanelPainter(Letters()), layout(views.CHART, (800, 480), (360, 260))
    bare = replace(chart, said=Said(layers=layers))
    for measured in (bare, replace(chart, said=None), bare):
        now = shown(view=views.CHART, measured=measured, stripes=())
        assert (painted(surface, panel, made, now) == pixel_of(PANEL)).all()
        painted(surface, panel, made, shown(view=views.CHART, measured=chart, stripes=()))


def test_a_ghost_lies_behind_the_chroma_trace(shown, chroma):
    surface = pygame.Surface((800, 480), 0, 32)
    panel, made = PanelPainter(Letters()), layout(views.MATCH, (800, 480), (360, 260))
    held = np.zeros_like(chroma.census.chroma)
    held[100:110, 150:160] = 50
    ghost = Ghost(chroma.yard.signal, chroma.census.levels, held)
    with_ghost = replace(chroma, said=Said(layers=(ghost, *chroma.said.layers)))
    now = shown(view=views.MATCH, measured=chroma, stripes=())
    alone = painted(surface, panel, made, now)
    both = painted(surface, panel, made, replace(now, measured=with_ghost))
    assert (alone != both).sum() > 10


def test_a_chart_that_stays_is_not_painted_again(shown, chart):
    surface = pygame.Surface((800, 480), 0, 32)
    panel, made = PanelPainter(Letters()), layout(views.CHART, (800, 480), (360, 260))
    now = shown(view=views.CHART, measured=chart, stripes=())
    panel.paint(surface, now, made)
    surface.fill(0)
    panel.paint(surface, now, made)
    assert not pixels_of(surface, made.panel).any()
    panel.forget()
    panel.paint(surface, now, made)
    assert pixels_of(surface, made.panel).any()


def test_a_chart_that_comes_back_in_place_of_a_disc_is_painted_again(shown, chart, chroma):
    surface = pygame.Surface((800, 480), 0, 32)
    panel, made = PanelPainter(Letters()), layout(views.CHART, (800, 480), (360, 260))
    of_chart = shown(view=views.CHART, measured=chart, stripes=())
    first = painted(surface, panel, made, of_chart)
    of_disc = shown(view=views.CHART, measured=chroma, stripes=())
    assert (painted(surface, panel, made, of_disc) != first).any()
    np.testing.assert_array_equal(painted(surface, panel, made, of_chart), first)


def whole(made):
    return PictureSeen(made.picture, Part(0, 0, 360, 260))


def test_the_chart_is_marked_on_the_picture(chart):
    surface = pygame.Surface((800, 480), 0, 32)
    made = layout(views.CHART, (800, 480), (360, 260))
    draw_chart_marks(surface, chart, whole(made), made.theme)
    assert (pixels_of(surface, made.picture) == pixel_of(AMBER)).sum() > 50


def test_without_a_chart_or_its_corners_nothing_is_marked(chart, chroma):
    surface = pygame.Surface((800, 480), 0, 32)
    made = layout(views.CHART, (800, 480), (360, 260))
    nowhere = replace(chart, said=Said(layers=(ChartShown(None, None, None),)))
    for moment in (chroma, nowhere, replace(chart, said=None)):
        draw_chart_marks(surface, moment, whole(made), made.theme)
    assert not pygame.surfarray.array2d(surface).any()


def test_a_view_without_a_panel_is_left_alone(shown, chart):
    surface = pygame.Surface((800, 480), 0, 32)
    made = layout(views.EXPOSE, (800, 480), (360, 260))
    PanelPainter(Letters()).paint(surface, shown(measured=chart, stripes=()), made)
    assert not pygame.surfarray.array2d(surface).any()
