from dataclasses import replace
from functools import partial

import pygame
import pytest

from firmware.actions import Contact, Edge, Leave, PlaceSpot, Press
from firmware.errors import ScreenError
from firmware.screen import screen as screen_module
from firmware.screen.drawing import Drawing
from firmware.screen.fbdev_fake import FakePanel
from firmware.screen.framebuffer import Framebuffer
from firmware.screen.rotation import Rotation, turned_back
from firmware.screen.screen import Screen
from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import layout
from overlays.draw.layout.seen import Part, PictureSeen
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.shown import Face, RailLabel, Shown, Source
from tests import views


@pytest.fixture
def screen():
    made = Screen(Drawing.UNSEEN, (800, 480))
    yield made
    made.close()


def starting(view=views.EXPOSE, measured=None):
    return Shown(view, TraceKind.LUMA, measured, Face.STARTING, "opening", Source("", "", "bench"))


@pytest.mark.parametrize("size", [(800, 480), (1280, 720), (1920, 1080), None])
def test_a_screen_in_memory_has_the_size_asked_for(size):
    made = Screen(Drawing.UNSEEN, size)
    try:
        assert made.size == (size or (1280, 720))
    finally:
        made.close()


@pytest.mark.parametrize("size", [(100, 480), (800, 100)])
def test_a_screen_too_small_to_read_is_refused(size):
    with pytest.raises(ScreenError, match="at least 320x240"):
        Screen(Drawing.UNSEEN, size)


def test_what_is_painted_can_be_saved(screen, tmp_path):
    screen.paint(starting())
    screen.flip()
    screen.save(tmp_path / "s.png")
    image = pygame.image.load(tmp_path / "s.png")
    assert image.get_size() == (800, 480)
    assert pygame.surfarray.array2d(image).any()


def test_a_picture_is_png_whatever_the_file_is_called(screen, tmp_path):
    screen.save(tmp_path / "shot")
    assert (tmp_path / "shot").read_bytes().startswith(b"\x89PNG")


def test_a_folder_that_is_not_there_is_named(screen, tmp_path):
    with pytest.raises(ScreenError, match="cannot be written"):
        screen.save(tmp_path / "none" / "s.png")


def press(key, mod=0):
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=key, mod=mod))


def let_go(key):
    pygame.event.post(pygame.event.Event(pygame.KEYUP, key=key, mod=0))


def test_a_key_held_down_saves_once_and_moves_on(screen):
    # SDL sends a held key again and again, without letting go in between.
    screen.actions()
    for _ in range(5):
        press(pygame.K_g)
        press(pygame.K_LEFT)
    held = screen.actions()
    assert held.count(Press.SCREENSHOT) == 1
    assert held.count(Press.SPOT_LEFT) == 5
    let_go(pygame.K_g)
    press(pygame.K_g)
    assert screen.actions() == [Press.SCREENSHOT]


def test_keys_become_presses_in_their_order(screen):
    screen.actions()
    press(pygame.K_LEFT)
    press(pygame.K_LEFT, pygame.KMOD_LSHIFT)
    press(pygame.K_F9)
    press(pygame.K_v)
    pygame.event.post(pygame.event.Event(pygame.QUIT))
    assert screen.actions() == [
        Press.SPOT_LEFT,
        Press.SPOT_LEFT_FINE,
        Press.NEXT_VIEW,
        Leave(),
    ]
    assert screen.actions() == []


def showing(screen):
    """A picture of 96x54 is on the screen; where."""
    area = layout(views.EXPOSE, (800, 480), (96, 54)).picture
    screen._painter.seen = PictureSeen(area, Part(0, 0, 96, 54))
    return area


def click(at, button=1):
    pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONDOWN, pos=at, button=button))


def test_a_touch_of_the_picture_places_the_spot(screen):
    screen.actions()
    area = showing(screen)
    click((area.left, area.top))
    click((area.right - 1, area.bottom - 1))
    click((area.right + 1, area.top))
    click((area.left, area.top), button=3)
    assert screen.actions() == [PlaceSpot(0, 0), PlaceSpot(95, 53)]


def test_a_touch_means_nothing_before_the_first_frame(screen):
    screen.paint(starting())
    screen.actions()
    click((400, 200))
    assert screen.actions() == []


def touch(across, down):
    pygame.event.post(pygame.event.Event(pygame.FINGERDOWN, x=across, y=down, finger_id=0))


def test_a_touch_screen_without_a_desktop_places_the_spot_too(screen):
    screen.actions()
    area = showing(screen)
    touch((area.left + area.width / 2) / 800, (area.top + area.height / 2) / 480)
    touch(1.0, 1.0)
    assert screen.actions() == [PlaceSpot(48, 27)]


@pytest.mark.parametrize("rotation", Rotation)
def test_a_turned_screen_is_painted_upright_and_touched_where_it_is_seen(rotation, tmp_path):
    window = (800, 480) if rotation.upright else (480, 800)
    made = Screen(Drawing.UNSEEN, window, rotation=rotation)
    try:
        assert made.size == (800, 480)
        made.paint(starting())
        made.flip()
        made.save(tmp_path / "s.png")
        upright = pygame.image.load(tmp_path / "s.png")
        seen = pygame.display.get_surface()
        assert seen.get_size() == window
        wanted = pygame.transform.rotate(upright, -rotation.value)
        painted = [pygame.image.tobytes(each, "RGB") for each in (seen, wanted)]
        assert painted[0] == painted[1]
        area = showing(made)
        made.actions()
        click(seen_at(window, rotation, (area.left, area.top)))
        assert made.actions() == [PlaceSpot(0, 0)]
    finally:
        made.close()


def seen_at(window, rotation, pixel):
    """Where in the window a pixel of the picture is seen, by looking at all of it."""
    return next(
        (across, down)
        for across in range(window[0])
        for down in range(window[1])
        if turned_back((across, down), window, rotation) == pixel
    )


@pytest.fixture
def panel(monkeypatch, tmp_path):
    """Screens on a framebuffer of so many pixels."""

    def make(columns, rows, rotation=Rotation.NONE, size=None):
        opening = FakePanel(columns, rows).opening()
        monkeypatch.setattr(screen_module, "Framebuffer", partial(Framebuffer, opening=opening))
        node = tmp_path / "fb1"
        return Screen(Drawing.FRAMEBUFFER, size, rotation=rotation, framebuffer=node), node

    return make


@pytest.mark.parametrize(
    ("size", "rotation"),
    [((480, 320), Rotation.NONE), ((240, 320), Rotation.RIGHT), ((480, 320), Rotation.HALF)],
)
def test_a_panel_without_a_graphics_processor_is_painted_through_its_framebuffer(
    panel, size, rotation
):
    made, node = panel(*size, rotation)
    try:
        made.paint(starting())
        made.flip()
        canvas = pygame.transform.rotate(made._canvas, -rotation.value).convert(16, 0)
        assert node.read_bytes() == canvas.get_buffer().raw
        press(pygame.K_v)
        assert made.actions() == [Press.NEXT_VIEW]
    finally:
        made.close()


def test_a_panel_too_small_to_read_is_refused_and_let_go_of(panel):
    with pytest.raises(ScreenError, match="240x320 pixels; at least 320x240"):
        panel(240, 320)
    assert not pygame.display.get_init()


def drag(at, buttons=(1, 0, 0)):
    moved = pygame.event.Event(pygame.MOUSEMOTION, pos=at, rel=(1, 1), buttons=buttons)
    pygame.event.post(moved)


def test_a_drag_takes_the_spot_along_to_where_it_has_come(screen):
    screen.actions()
    area = showing(screen)
    click((area.left, area.top))
    for step in range(1, 40):
        drag((area.left + step, area.top + step))
    drag((area.right - 1, area.bottom - 1), buttons=(0, 0, 0))  # no button is down
    assert screen.actions() == [PlaceSpot(39 * 96 // area.width, 39 * 54 // area.height)]
    place = {"x": (area.left + area.width / 2) / 800, "y": (area.top + area.height / 2) / 480}
    pygame.event.post(pygame.event.Event(pygame.FINGERMOTION, finger_id=0, **place))
    assert screen.actions() == [PlaceSpot(48, 27)]


def labelled(view=views.EXPOSE):
    return replace(starting(view), rail=(RailLabel("views ›", "more ›"),) * 4)


def test_keys_f1_to_f4_are_the_buttons_of_the_rail_and_tell_both_edges(screen):
    screen.actions()
    for _ in range(3):
        press(pygame.K_F2)  # SDL tells a held key again and again
    press(pygame.K_F4)
    let_go(pygame.K_F2)
    let_go(pygame.K_F4)
    closed, opened = Contact.CLOSED, Contact.OPENED
    assert screen.actions() == [
        Edge(1, closed),
        Edge(3, closed),
        Edge(1, opened),
        Edge(3, opened),
    ]


def test_a_label_that_is_seen_is_touched_and_one_that_rests_is_not(screen):
    screen.actions()
    screen.paint(labelled())
    at = (500, 479)
    click(at)
    pygame.event.post(pygame.event.Event(pygame.MOUSEMOTION, pos=(500, 100), buttons=(1, 0, 0)))
    pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONUP, pos=(500, 100), button=1))
    assert screen.actions() == [Edge(2, Contact.CLOSED), Edge(2, Contact.OPENED)]
    finger = {"x": 500 / 800, "y": 479.5 / 480}
    pygame.event.post(pygame.event.Event(pygame.FINGERDOWN, **finger))
    pygame.event.post(pygame.event.Event(pygame.FINGERUP, **finger))
    assert screen.actions() == [Edge(2, Contact.CLOSED), Edge(2, Contact.OPENED)]
    screen.paint(starting(views.PICTURE))
    screen._painter.seen = PictureSeen(Area(0, 0, 800, 480), Part(0, 0, 96, 54))
    click((500, 460))
    (placed,) = screen.actions()
    assert isinstance(placed, PlaceSpot)


def test_a_black_screen_is_told_from_one_with_words():
    screen = Screen(Drawing.UNSEEN, (800, 480))
    try:
        screen._canvas.fill((0, 0, 0))
        assert not screen.is_lit()
        screen._canvas.fill((40, 40, 40))
        assert not screen.is_lit()
        screen._canvas.fill((230, 230, 230), (20, 20, 60, 24))  # a word in the corner
        assert screen.is_lit()
    finally:
        screen.close()


def test_a_drag_takes_the_place_of_the_spot_before_it_and_of_no_press(screen):
    screen.actions()
    area = showing(screen)
    press(pygame.K_v)
    click((area.left, area.top))
    drag((area.left + area.width // 2, area.top + area.height // 2))
    assert screen.actions() == [Press.NEXT_VIEW, PlaceSpot(48, 27)]
