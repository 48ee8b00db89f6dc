"""The help is whole on every screen, in type that can be read."""

import pytest

from firmware.controls.keyboard import help_entries
from overlays.draw.columns.help import help_pieces
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Text
from overlays.draw.layout.theme import TextSize, theme_for

SCREENS = [(480, 320), (800, 480), (1024, 600), (1280, 720), (1920, 1080)]
ENTRIES = tuple((f"shift + key {n}", f"does the thing of number {n}") for n in range(15))


@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("entries", [ENTRIES, help_entries()])
def test_every_key_is_said_to_its_end_and_none_lies_over_another(letters, screen, entries):
    area, theme, said = Area(0, 0, *screen), theme_for(*screen), ""
    for turn in range(4):
        texts = [
            piece
            for piece in help_pieces(entries, area, letters, theme, turn)
            if isinstance(piece, Text) and piece.words
        ]
        boxes = [letters.area(text) for text in texts]
        assert all(area.holds(box) for box in boxes)
        assert not any(a.meets(b) for n, a in enumerate(boxes) for b in boxes[n + 1 :])
        assert min(text.pixels for text in texts) >= theme.text_pixels(TextSize.TINY)
        said += " " + " ".join(text.words for text in texts)
    assert "…" not in said
    for key, words in entries:
        assert key in said
        assert words in said or all(word in said for word in words.split())


def test_there_is_none_unless_it_is_asked_for(letters):
    assert help_pieces((), Area(0, 0, 800, 480), letters, theme_for(800, 480)) == []


def test_what_has_no_room_is_announced_and_has_its_turn(letters):
    area, theme = Area(0, 0, 480, 320), theme_for(480, 320)
    pages = [help_pieces(ENTRIES * 3, area, letters, theme, turn) for turn in range(3)]
    ends = [[piece.words for piece in page if isinstance(piece, Text)][-1] for page in pages]
    count = int(ends[0].rpartition(" ")[2])
    assert count > 1
    assert ends[:2] == [f"part 1 of {count}", f"part 2 of {count}"]
