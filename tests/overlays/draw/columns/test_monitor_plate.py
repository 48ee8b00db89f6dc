import pygame
import pytest

from overlays.draw.columns.monitor_plate import monitor_pieces
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Block, Hatch, Text
from overlays.draw.layout.monitor import Monitor, ViewTransform
from overlays.draw.layout.theme import theme_for
from overlays.draw.moment.shown import Face
from overlays.draw.painter import Painter
from overlays.draw.picture.stop_map import COLOURS
from overlays.measure.counting.bands import BandKind

SIZES = [(238, 134, (480, 320)), (480, 270, (800, 480)), (852, 480, (1280, 720))]


def pieces(shown, letters, size, monitor, **changes):
    area = Area(34, 8, size[0], size[1])
    return area, monitor_pieces(
        shown(monitor=monitor, **changes), area, letters, theme_for(*size[2])
    )


@pytest.mark.parametrize("size", SIZES)
def test_the_key_shows_every_colour_and_both_ends_and_stays_in_the_picture(shown, letters, size):
    area, found = pieces(shown, letters, size, Monitor(stop_map=True, flipped=True, frame=0))
    assert [p.colour for p in found if isinstance(p, Block) and p.colour in COLOURS] == list(
        COLOURS
    )
    assert {p.kind for p in found if isinstance(p, Hatch)} == {BandKind.ABOVE, BandKind.BELOW}
    texts = [letters.area(p) for p in found if isinstance(p, Text)]
    assert all(area.holds(box) for box in texts)
    assert not any(a.meets(b) for n, a in enumerate(texts) for b in texts[n + 1 :])
    assert "0" in [p.words for p in found if isinstance(p, Text)]


def test_a_usual_picture_has_nothing_over_it_and_a_log_one_says_how_it_is_viewed(
    shown, letters, measured
):
    size = SIZES[1]
    assert pieces(shown, letters, size, Monitor())[1] == []
    log = measured(curve="V-Log")
    for transform, words in (
        (ViewTransform.NORMAL, "normal view"),
        (ViewTransform.AS_SENT, "as sent"),
    ):
        _, found = pieces(shown, letters, size, Monitor(transform=transform), measured=log)
        assert [p.words for p in found if isinstance(p, Text)] == [words]


@pytest.mark.parametrize("face", [Face.STALE, Face.LOST, Face.STALLED])
def test_of_a_picture_that_is_not_believed_nothing_is_said(shown, letters, face):
    assert pieces(shown, letters, SIZES[1], Monitor(stop_map=True), face=face)[1] == []


def test_the_ends_are_striped_in_the_key_as_on_the_picture(shown):
    surface = pygame.Surface((800, 480), 0, 32, (0xFF0000, 0xFF00, 0xFF, 0))
    made = Painter(surface).paint(shown(monitor=Monitor(stop_map=True)))
    area = made.picture
    row = [surface.get_at((x, area.top + 3))[:3] for x in range(area.left, area.right)]
    for colour in COLOURS:
        assert colour in row
    assert theme_for(800, 480).stripe(BandKind.ABOVE) in row
    assert theme_for(800, 480).stripe(BandKind.BELOW) in row
