"""Every stripe is explained, at once or in its turn."""

from dataclasses import replace

import pytest

from overlays.draw.columns.column import Column
from overlays.draw.columns.legend import add_legend, key_pieces, legend_height
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Block, Swatch, Text
from overlays.draw.layout.theme import theme_for


def laid(moment, letters, area):
    column = Column(area, letters, theme_for(480, 320), area.top)
    add_legend(moment, column)
    return column


@pytest.mark.parametrize("width", [110, 143, 300])
def test_each_stripe_has_a_swatch_its_words_and_its_share(shown, letters, width):
    moment, area = shown(), Area(10, 10, width, 300)
    column = laid(moment, letters, area)
    assert [p.stripe for p in column.pieces if isinstance(p, Swatch)] == [0, 1, 2]
    texts = [piece for piece in column.pieces if isinstance(piece, Text) and piece.words]
    said = " ".join(text.words for text in texts)
    for stripe in moment.stripes:
        assert all(word in said for word in stripe.words.split())
    boxes = [letters.area(text) for text in texts]
    assert all(area.holds(box) for box in boxes)
    assert column.top - area.top <= legend_height(moment, column) + 6


def test_where_not_all_have_room_each_has_its_turn_and_it_says_so(shown, letters):
    area, seen = Area(10, 10, 143, 60), set()
    for turn in range(4):
        column = laid(replace(shown(), turn=turn), letters, area)
        swatches = [piece for piece in column.pieces if isinstance(piece, Swatch)]
        assert all(area.holds(each.area) for each in swatches)
        said = [piece.words for piece in column.pieces if isinstance(piece, Text)]
        assert said[0].startswith("stripes, part ")
        seen |= {each.stripe for each in swatches}
    assert seen == {0, 1, 2}


def test_without_stripes_there_is_none(shown, letters):
    column = Column(Area(0, 0, 150, 99), letters, theme_for(480, 320), 0)
    assert legend_height(shown(stripes=()), column) == 0


@pytest.mark.parametrize("size", [(460, 220), (780, 400), (1256, 660), (300, 420)])
def test_on_a_picture_the_key_stands_beside_the_plate_or_over_it(shown, letters, size):
    moment, theme = shown(), theme_for(480, 320)
    area = Area(10, 10, *size)
    plate = Area(10, area.bottom - 50, 240, 50)
    pieces = key_pieces(moment, area, plate, letters, theme)
    box = next(piece.area for piece in pieces if isinstance(piece, Block))
    assert area.holds(box)
    assert not box.meets(plate)
    assert [piece.stripe for piece in pieces if isinstance(piece, Swatch)] == [0, 1, 2]
    texts = [piece for piece in pieces if isinstance(piece, Text) and piece.words]
    assert all(box.holds(letters.area(text)) for text in texts)
    said = " ".join(text.words for text in texts)
    assert all(word in said for stripe in moment.stripes for word in stripe.words.split())


def test_there_is_no_key_where_no_stripes_are_painted(shown, letters):
    area, plate, theme = Area(0, 0, 460, 220), Area(0, 170, 240, 50), theme_for(480, 320)
    assert key_pieces(shown(painted=False), area, plate, letters, theme) == []
    assert key_pieces(shown(stripes=()), area, plate, letters, theme) == []
