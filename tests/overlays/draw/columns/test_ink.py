"""Pieces on a surface, by the pixels that are there afterwards."""

import pygame
import pytest

from overlays.draw.columns.ink import Ink
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Block, Hatch, Letters, Swatch, Text
from overlays.draw.layout.theme import AMBER, GREY_CARD, GROUND, PANEL
from overlays.draw.moment.shown import Face, Shown, Source, StripeShown
from overlays.draw.picture.stripes import WEAVES
from overlays.measure.counting.bands import CodeBand, around
from overlays.signal.quantities import stops
from tests import views

BOX = Area(40, 20, 64, 32)


@pytest.fixture
def surface():
    made = pygame.Surface((200, 100), 0, 32)
    made.fill(GROUND)
    return made


def moment(stripes=()):
    source = Source("", "", "")
    return Shown(views.EXPOSE, None, None, Face.LIVE, "", source, stripes=stripes)


def colours(surface, area):
    pixels = pygame.surfarray.array3d(surface)
    inside = pixels[area.left : area.right, area.top : area.bottom].reshape(-1, 3)
    return {tuple(int(each) for each in pixel) for pixel in inside}


def outside_is_untouched(surface):
    for area in (Area(0, 0, 200, 20), Area(0, 52, 200, 48), Area(0, 0, 40, 100)):
        assert colours(surface, area) == {GROUND}


def test_what_comes_later_lies_over_what_came_before(surface):
    Ink(surface, Letters()).write([Block(BOX, AMBER), Block(BOX, PANEL)], moment())
    assert colours(surface, BOX) == {PANEL}
    outside_is_untouched(surface)


def test_type_stands_where_it_is_put(surface):
    Ink(surface, Letters()).write([Text("0", 44, 22, 24, AMBER)], moment())
    assert AMBER in colours(surface, BOX)
    outside_is_untouched(surface)


def test_a_sample_has_the_stripes_of_its_band_on_a_grey_card(surface):
    stripe = StripeShown("0 st", CodeBand(around(stops(0), stops(0.2)), 300, 420))
    ink = Ink(surface, Letters())
    ink.write([Swatch(BOX, 0)], moment((stripe,)))
    first = colours(surface, BOX)
    assert GREY_CARD in first
    assert len(first) > 1
    outside_is_untouched(surface)
    ink.write([Swatch(BOX, 0)], moment((stripe,)))  # from what was kept
    assert colours(surface, BOX) == first


def test_a_band_without_codes_is_a_grey_card(surface):
    Ink(surface, Letters()).write([Swatch(BOX, 0)], moment((StripeShown("x", None),)))
    assert colours(surface, BOX) == {GREY_CARD}


def test_a_hatch_is_told_from_its_ground(surface):
    kind = next(iter(WEAVES))
    Ink(surface, Letters()).write([Hatch(BOX, kind, PANEL)], moment())
    found = colours(surface, BOX)
    assert PANEL in found
    assert len(found) > 1
    outside_is_untouched(surface)
