from dataclasses import replace

import numpy as np
import pygame
import pytest

from overlays.draw.layout import typeface as typeface_module
from overlays.draw.layout.theme import RED_WORDS, TEAL_WORDS, pixel_of
from overlays.draw.moment.layers import ChartShown, EvennessMap, PinFlags, PinShown, Said
from overlays.draw.moment.lineup import Lineup
from overlays.draw.moment.report import Report, Tone
from overlays.draw.moment.shown import Alert, Face
from overlays.draw.painter import Painter
from overlays.errors import DrawingError
from overlays.measure.chart.place import Corners
from overlays.measure.pins.lighting import read_evenness
from overlays.measure.spot.spot import SpotPlace
from tests import views
from tests.crews import Backwards

SCREENS = [(800, 480), (1280, 720), (1920, 1080)]


def painted(moment, screen=(800, 480), painter=None):
    if painter is None:
        surface = pygame.Surface(screen, 0, 32)
        painter = Painter(surface)
    made = painter.paint(moment)
    return pygame.surfarray.pixels2d(painter._surface).T & 0xFFFFFF, made


@pytest.mark.parametrize("face", [Face.LIVE, Face.HELD, Face.STALE])
def test_picture_and_trace_are_handed_out_together(shown, face):
    """To wake a helper takes as long as a tenth of a trace: once for both."""
    surface, crew = pygame.Surface((800, 480), 0, 32), Backwards(3)
    alone, _ = painted(shown(face=face))
    shared, _ = painted(shown(face=face), painter=Painter(surface, crew))
    assert crew.shared == (3 if face is Face.STALE else 6)
    np.testing.assert_array_equal(shared, alone)


def colours(pixels):
    """How many different ones there are."""
    there = np.zeros(1 << 24, bool)
    there[pixels] = True
    return np.count_nonzero(there)


def inside(pixels, area):
    return pixels[area.top : area.bottom, area.left : area.right]


@pytest.mark.parametrize("face", [Face.LIVE, Face.STALE])
def test_frame_lines_lie_on_a_picture_that_is_no_old_one(shown, face):
    plain, made = painted(shown(face=face))
    asked = shown(face=face)
    lined, _ = painted(replace(asked, monitor=replace(asked.monitor, ratios=(2.0,), frame=0)))
    assert made.picture is not None
    assert (lined != plain).any() == (face is Face.LIVE)
    if face is Face.LIVE:
        middle = inside(lined, made.picture)[made.picture.height // 2]
        assert (middle != inside(plain, made.picture)[made.picture.height // 2]).any()


def test_that_the_typeface_is_not_installed_is_there_to_be_said(monkeypatch):
    monkeypatch.setattr(typeface_module, "find_spec", lambda _name: None)
    typeface_module.typeface.cache_clear()
    try:
        painter = Painter(pygame.Surface((800, 480), 0, 32))
    finally:
        monkeypatch.undo()
        typeface_module.typeface.cache_clear()
    assert "pip install fontpkg" in painter.missing
    assert Painter(pygame.Surface((800, 480), 0, 32)).missing == ""


@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("view", views.VIEWS)
@pytest.mark.parametrize("face", list(Face))
def test_every_view_is_painted_at_every_size_with_every_face(shown, screen, view, face):
    pixels, made = painted(shown(view=view, face=face, face_words="words"), screen)
    assert pixels.shape == (screen[1], screen[0])
    assert colours(pixels) > 20
    if made.picture is not None and face is Face.LIVE:
        assert colours(inside(pixels, made.picture)) > 100


@pytest.mark.parametrize(
    ("face", "colour"), [(Face.HELD, TEAL_WORDS), (Face.STALE, RED_WORDS), (Face.LOST, RED_WORDS)]
)
@pytest.mark.parametrize("view", views.VIEWS)
def test_what_is_not_live_is_plainly_marked(shown, view, face, colour):
    pixels, made = painted(shown(view=view, face=face, face_words="words", painted=False))
    part = pixels if made.picture is None else inside(pixels, made.picture)
    assert (part == pixel_of(colour)).mean() > 0.04
    live, _ = painted(shown(view=view, painted=False))
    assert (live == pixel_of(colour)).mean() < 0.02


def test_a_stale_picture_is_dimmed(shown):
    moment = shown(painted=False)
    live, made = painted(moment)
    stale, _ = painted(replace(moment, face=Face.STALE))
    lower = slice(made.clear.top + 100, made.clear.bottom)
    columns = slice(made.clear.left, made.clear.right)
    assert (stale[lower, columns] & 255).mean() < 0.5 * (live[lower, columns] & 255).mean()


def test_stripes_are_painted_only_when_asked_for(shown):
    on, made = painted(shown())
    off, _ = painted(shown(painted=False))
    changed = (inside(on, made.picture) != inside(off, made.picture)).mean()
    assert 0.01 < changed < 0.5


def test_no_stripe_lies_over_a_map_of_evenness(shown):
    moment = shown(view=views.PINS)
    even = read_evenness(moment.measured.frame, moment.measured.yard, SpotPlace(96, 54, 60), 4)
    mapped = replace(
        moment, measured=replace(moment.measured, said=Said(layers=(EvennessMap(even),)))
    )
    with_map, made = painted(mapped)
    bare, _ = painted(replace(mapped, painted=False))
    np.testing.assert_array_equal(with_map, bare)
    plain, _ = painted(replace(moment, painted=False))
    assert (inside(plain, made.picture) != inside(bare, made.picture)).mean() > 0.01


@pytest.mark.parametrize("view", views.VIEWS)
def test_stripes_are_painted_where_the_view_has_them_and_nowhere_else(shown, view):
    on, made = painted(shown(view=view))
    off, _ = painted(shown(view=view, painted=False))
    if made.picture is None:
        assert view is views.TARGET
        return
    changed = (inside(on, made.picture) != inside(off, made.picture)).mean()
    # Colours that are to be judged are left as they are, and so is what a feed is checked by.
    assert (changed > 0.01) == (view not in {views.BALANCE, views.CHART, views.FEED_CHECK})


@pytest.mark.parametrize("view", views.VIEWS)
def test_extremes_are_marked_where_exposure_is_judged_and_nowhere_else(shown, view):
    moment = shown(view=view, painted=False, warnings=("something else",))
    marked, made = painted(moment)
    if made.picture is None:
        return
    bare, _ = painted(replace(moment, measured=replace(moment.measured, range=None)))
    free = made.clear  # readings and warnings lie beside and below
    if view is views.PICTURE:
        free = free.above(made.screen.height // 2)  # below is the plate
    changed = (inside(marked, free) != inside(bare, free)).any()
    assert changed == (view is views.EXPOSE)


def test_a_pin_is_drawn_on_the_picture_unless_the_feed_is_stale(shown):
    moment = shown(view=views.CHIPS, painted=False)
    pins = PinFlags((PinShown(SpotPlace(40, 40, 8), "1 white"),))
    pinned = replace(moment, measured=replace(moment.measured, said=Said(layers=(pins,))))
    for face, expected in ((Face.LIVE, True), (Face.HELD, True), (Face.STALE, False)):
        with_pin, made = painted(replace(pinned, face=face))
        bare, _ = painted(replace(moment, face=face))
        changed = inside(with_pin, made.picture) != inside(bare, made.picture)
        assert changed.any() == expected


def test_the_outline_of_a_chart_is_drawn_on_the_picture(shown):
    moment = shown(view=views.CHART)
    corners = Corners(((40.0, 20.0), (150.0, 20.0), (150.0, 90.0), (40.0, 90.0)))
    said = Said(layers=(ChartShown(None, corners, 0),))
    with_chart, made = painted(replace(moment, measured=replace(moment.measured, said=said)))
    bare, _ = painted(moment)
    assert (inside(with_chart, made.picture) != inside(bare, made.picture)).any()


@pytest.mark.parametrize("view", views.VIEWS)
def test_a_report_stands_in_the_readings_of_the_views_that_have_one(shown, view):
    moment = shown(view=view)
    said = Said(Report("heading", "+1.00", "st", "words of an instrument"))
    told, made = painted(replace(moment, measured=replace(moment.measured, said=said)))
    bare, _ = painted(moment)
    changed = (inside(told, made.readings) != inside(bare, made.readings)).any()
    assert changed == (view is not views.PICTURE)


@pytest.mark.parametrize("view", views.VIEWS)
@pytest.mark.parametrize("face", list(Face))
def test_an_alert_comes_and_goes_without_a_trace_and_leaves_the_readings_alone(shown, view, face):
    moment = shown(view=view, face=face, face_words="words")
    surface = pygame.Surface((800, 480), 0, 32)
    painter = Painter(surface)
    before, made = painted(moment, painter=painter)
    alert = Alert("card is full: delete old pictures", Tone.ALARM)
    during, _ = painted(replace(moment, alert=alert), painter=painter)
    after, _ = painted(moment, painter=painter)
    np.testing.assert_array_equal(before, after)
    assert (before != during).any()
    if made.picture is not None and view is not views.PICTURE:
        np.testing.assert_array_equal(inside(before, made.readings), inside(during, made.readings))


def test_the_same_moment_twice_is_the_same_picture(shown):
    moment = shown()
    surface = pygame.Surface((800, 480), 0, 32)
    painter = Painter(surface)
    first, _ = painted(moment, painter=painter)
    second, _ = painted(moment, painter=painter)
    np.testing.assert_array_equal(first, second)


@pytest.mark.parametrize("view", views.VIEWS)
def test_nothing_is_left_behind_by_what_was_shown_before(shown, view):
    surface = pygame.Surface((800, 480), 0, 32)
    painter = Painter(surface)
    plain = shown(view=view)
    for before in (
        shown(view=views.EXPOSE, help=(("key", "what it does"),) * 12),
        shown(view=view, help=(("key", "what it does"),) * 12),
        shown(view=views.PICTURE, face=Face.HELD, face_words="held"),
        shown(view=views.TARGET, face=Face.LOST, face_words="lost"),
        shown(view=view, note="saved a picture"),
        shown(view=view, face=Face.STALE, face_words="stale"),
    ):
        painter.paint(before)
        after, _ = painted(plain, painter=painter)
        fresh, _ = painted(plain)
        np.testing.assert_array_equal(after, fresh)


def test_before_the_first_frame_there_is_a_face_and_no_number(shown):
    moment = replace(shown(), measured=None, face=Face.STARTING, face_words="opening")
    pixels, _ = painted(moment)
    assert colours(pixels) > 10


def test_refuses_a_surface_it_cannot_write_to():
    with pytest.raises(DrawingError, match="32 bits"):
        Painter(pygame.Surface((80, 48), 0, 24))


@pytest.mark.parametrize("view", [views.EXPOSE, views.PICTURE, views.TARGET])
def test_while_the_panel_is_set_nothing_of_the_feed_is_seen_and_nothing_is_left_behind(shown, view):
    moment = shown(view=view)
    plain, _ = painted(moment)
    plain = plain.copy()
    surface = pygame.Surface((800, 480), 0, 32)
    painter = Painter(surface)
    painted(moment, painter=painter)
    lined = replace(moment, lineup=Lineup(1, "panel light 60 %"))
    bars, _ = painted(lined, painter=painter)
    alone, _ = painted(lined)
    np.testing.assert_array_equal(bars, alone)
    assert painter.seen is None
    # Another frame changes nothing of it; the next step does.
    before = bars.copy()
    np.testing.assert_array_equal(painted(replace(lined, turn=9), painter=painter)[0], before)
    assert (painted(replace(lined, lineup=Lineup(2)), painter=painter)[0] != before).any()
    after, _ = painted(moment, painter=painter)
    np.testing.assert_array_equal(after, plain)
