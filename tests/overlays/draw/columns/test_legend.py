"""Every stripe on the picture is explained, at once or in its turn."""

from dataclasses import replace

import pytest

from overlays.draw.columns.legend import key_pieces, key_width
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Swatch, Text, box_of
from overlays.draw.layout.theme import theme_for

THEME = theme_for(480, 320)


@pytest.mark.parametrize("size", [(460, 220), (780, 400), (1256, 660), (150, 300), (110, 300)])
@pytest.mark.parametrize("align", [Align.LEFT, Align.RIGHT])
def test_each_stripe_has_a_swatch_its_words_and_its_share(shown, letters, size, align):
    moment, area = shown(), Area(10, 10, *size)
    pieces = key_pieces(moment, area, align, letters, THEME)
    box = box_of(pieces)
    assert area.holds(box)
    assert box.bottom == area.bottom
    assert (box.left == area.left) if align is Align.LEFT else (box.right == area.right)
    assert box.width == key_width(moment, area, letters, THEME)
    assert [piece.stripe for piece in pieces if isinstance(piece, Swatch)] == [0, 1, 2]
    texts = [piece for piece in pieces if isinstance(piece, Text) and piece.words]
    assert all(box.holds(letters.area(text)) for text in texts)
    said = " ".join(text.words for text in texts)
    for stripe in moment.stripes:
        assert all(word in said for word in stripe.words.split())


@pytest.mark.parametrize("height", [44, 60])
def test_where_not_all_have_room_each_has_its_turn_and_it_says_so(shown, letters, height):
    area, seen = Area(10, 10, 143, height), set()
    for turn in range(6):
        pieces = key_pieces(replace(shown(), turn=turn), area, Align.LEFT, letters, THEME)
        swatches = [piece for piece in pieces if isinstance(piece, Swatch)]
        assert all(box_of(pieces).holds(each.area) for each in swatches)
        said = [piece.words for piece in pieces if isinstance(piece, Text)]
        assert said[-1].startswith("part ")
        seen |= {each.stripe for each in swatches}
    assert seen == {0, 1, 2}


def test_a_stripe_that_does_not_fit_the_feed_says_so(shown, letters):
    base, area = shown(), Area(0, 0, 460, 220)
    odd = (replace(base.stripes[0], codes=None, share=None), *base.stripes[1:])

    def said(moment):
        pieces = key_pieces(moment, area, Align.LEFT, letters, THEME)
        return [piece.words for piece in pieces if isinstance(piece, Text)]

    assert "not on this feed" in said(shown(stripes=odd))
    # Before the first frame there is nothing that could have it or not.
    assert "not on this feed" not in said(replace(shown(stripes=odd), measured=None))


def test_there_is_no_key_where_no_stripes_are_painted(shown, letters):
    area = Area(0, 0, 460, 220)
    for moment in (shown(painted=False), shown(stripes=())):
        assert key_pieces(moment, area, Align.LEFT, letters, THEME) == []
