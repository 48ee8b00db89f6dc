"""Every label of every page has its room, whole, at every size."""

import pytest

from firmware.instruments.registry import REGISTRY
from firmware.profiles.shelf import load_profile
from firmware.rail.pages import At, Leaf
from firmware.rail.tree import Surroundings, page
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Letters, Text
from overlays.draw.layout.palette import contrast_ratio
from overlays.draw.layout.rail_room import rail_room
from overlays.draw.layout.theme import LEAST_CONTRAST_TEXT, PANEL, TextSize, theme_for
from overlays.draw.moment.shown import RailLabel
from overlays.draw.rail.rail_pieces import HOLD_SIGN, rail_pieces

SIZES = [(480, 320), (800, 480), (1024, 600), (1280, 720), (1920, 1080), (320, 480), (480, 800)]


def every_page():
    """The labels of every page in every view, in every state that a label knows of."""
    views, profile = tuple(view.name for view in REGISTRY.views()), load_profile("standard")
    found = set()
    for name in views:
        instrument = REGISTRY.in_view(REGISTRY.view(name))
        offers = instrument.offers(instrument.settings(profile, 25.0))
        for flag in (True, False):
            now = Surroundings(views, name, offers, is_painted=flag, is_held=flag)
            for leaf in Leaf:
                for number in range(4):
                    found.add(labels(page(At(leaf, number), now)))
    return sorted(found, key=str)


def labels(slots):
    return tuple(
        RailLabel(s.pressed.label if s.pressed else "", s.held.label if s.held else "")
        for s in slots
    )


@pytest.fixture(scope="module")
def letters():
    return Letters()


@pytest.mark.parametrize("size", SIZES)
def test_no_label_is_cut_or_leaves_its_place(size, letters):
    theme = theme_for(*size)
    room = rail_room(size[0], size[1], theme)
    strip = Area(room.left, room.top, room.width, room.height)
    pages = every_page()
    assert len(pages) > 20
    for each in pages:
        texts = [p for p in rail_pieces(each, room, letters, theme) if isinstance(p, Text)]
        said = [text.words.removeprefix(HOLD_SIGN) for text in texts if text.words]
        assert sorted(said) == sorted(w for la in each for w in (la.pressed, la.held) if w)
        for text in texts:
            box = letters.area(text)
            assert strip.holds(box), (text.words, box, strip)
            button = room.button_at((text.x, text.top))
            assert room.edge(button) <= box.left
            assert box.right <= room.edge(button + 1)
            if min(size) > 320:  # the narrowest portrait has smaller letters for long words
                assert text.pixels >= theme.text_pixels(TextSize.TINY) - 3


def test_no_labels_no_strip(letters):
    theme = theme_for(800, 480)
    assert rail_pieces((), rail_room(800, 480, theme), letters, theme) == []


def test_words_can_be_read_on_their_ground(letters):
    theme = theme_for(800, 480)
    pieces = rail_pieces((RailLabel("a", "b"),) * 4, rail_room(800, 480, theme), letters, theme)
    inks = {piece.colour for piece in pieces if isinstance(piece, Text)}
    assert len(inks) == 2
    assert all(contrast_ratio(ink, PANEL) >= LEAST_CONTRAST_TEXT for ink in inks)
