"""The instruments of the views of colour, each in its place and empty where nothing is believed."""

import numpy as np
import pygame
import pytest

from overlays.draw.chroma.colour_panel import ColourPanel, draw_chart_marks
from overlays.draw.layout.lettering import Letters
from overlays.draw.layout.theme import AMBER, PANEL, pixel_of
from overlays.draw.layout.views import View, layout
from overlays.draw.moment.more import ChartShown, ChromaShown, More
from overlays.draw.moment.shown import Face, Measured
from overlays.measure.balance.balance import BalanceSettings
from overlays.measure.chart.chart import read_chart
from overlays.measure.chart.reference import CHART24
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from tests.chart_frames import painted as painted_chart
from tests.chart_frames import upright
from tests.colour_frames import frame_of

BT709 = published_gamut("BT.709")


@pytest.fixture(scope="module")
def moment():
    linear = np.maximum(CHART24.linear(BT709), 1e-3)
    frame = frame_of(painted_chart(CHART24, upright(), linear), noise=0.5)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    census = take_census(frame, yard, Wants.LEVELS | Wants.CHROMA)
    reading = read_chart(frame, yard, BT709, CHART24, upright())
    more = More(
        chroma=ChromaShown(BalanceSettings(BT709)),
        chart=ChartShown(reading, reading.corners, 1),
    )
    return Measured(frame, yard, census, SpotPlace(180, 130, 8), None, None, more=more)


def pixels_of(surface, area):
    return (pygame.surfarray.array2d(surface).T & 0xFFFFFF)[
        area.top : area.bottom, area.left : area.right
    ]


@pytest.mark.parametrize("view", [View.BALANCE, View.CHART, View.MATCH])
@pytest.mark.parametrize("screen", [(800, 480), (1280, 720)])
def test_painted_when_live_and_empty_when_stale(shown, moment, view, screen):
    surface = pygame.Surface(screen, 0, 32)
    panel, made = ColourPanel(Letters()), layout(view, screen, (360, 260))
    panel.paint(surface, shown(view=view, measured=moment, stripes=()), made)
    assert len(np.unique(pixels_of(surface, made.instrument))) > 30
    stale = shown(view=view, measured=moment, stripes=(), face=Face.STALE)
    panel.paint(surface, stale, made)
    assert (pixels_of(surface, made.instrument) == pixel_of(PANEL)).all()


def test_a_chart_that_stays_is_not_painted_again(shown, moment):
    surface = pygame.Surface((800, 480), 0, 32)
    panel, made = ColourPanel(Letters()), layout(View.CHART, (800, 480), (360, 260))
    now = shown(view=View.CHART, measured=moment, stripes=())
    panel.paint(surface, now, made)
    surface.fill(0)
    panel.paint(surface, now, made)
    assert not pixels_of(surface, made.instrument).any()
    panel.forget()
    panel.paint(surface, now, made)
    assert pixels_of(surface, made.instrument).any()


def test_the_chart_is_marked_on_the_picture(moment):
    surface = pygame.Surface((800, 480), 0, 32)
    made = layout(View.CHART, (800, 480), (360, 260))
    draw_chart_marks(surface, moment, made.picture, made.theme)
    assert (pixels_of(surface, made.picture) == pixel_of(AMBER)).sum() > 50


def test_a_view_without_an_instrument_is_left_alone(shown, moment):
    surface = pygame.Surface((800, 480), 0, 32)
    made = layout(View.EXPOSE, (800, 480), (360, 260))
    ColourPanel(Letters()).paint(surface, shown(measured=moment, stripes=()), made)
    assert not pygame.surfarray.array2d(surface).any()
