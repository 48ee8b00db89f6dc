from typing import cast

import pygame
import pytest

from overlays.draw.layout.face_sizes import KEPT_WIDTHS, face_sizes
from overlays.draw.layout.lettering import (
    KEPT_FONTS,
    KEPT_WORDS,
    Align,
    Letters,
    Text,
)

SIGNS = "±−Δ·…–%+0123456789"


@pytest.mark.parametrize("sign", SIGNS)
def test_the_font_has_every_sign_that_is_used(letters, sign):
    font = letters._font(40)
    missing = font.metrics("\uffff")[0]
    spelt = letters._face.spelt(sign)
    found = font.metrics(spelt)[0]
    assert found is not None
    picture = pygame.surfarray.array2d(font.render(spelt, False, (255, 255, 255), (0, 0, 0)))
    box = pygame.surfarray.array2d(font.render("\uffff", False, (255, 255, 255), (0, 0, 0)))
    assert found != missing or picture.shape != box.shape or (picture != box).any()


@pytest.mark.parametrize("pixels", [14, 22, 84, 200])
def test_an_em_is_an_em(letters, pixels):
    # The capitals of a grotesque are about 0.7 em high (common practice, no source).
    font = letters._font(pixels)
    image = font.render("H", True, (255, 255, 255))
    assert 0.6 * pixels < image.get_bounding_rect().height < 0.85 * pixels


def test_fitting_type_is_as_large_as_it_can_be(letters):
    pixels = letters.fitting("−10.00", 300, 400)
    assert letters.width("−10.00", pixels) <= 300
    assert letters.width("−10.00", pixels + 4) > 300
    assert letters.fitting("−10.00", 9_000, 120) == 120


def test_a_line_is_measured_once_and_each_size_by_itself(letters, monkeypatch):
    words = "the supply is too weak"
    first = [letters.width(words, pixels) for pixels in (16, 20)]
    assert first == [letters._font(pixels).size(words)[0] for pixels in (16, 20)]
    monkeypatch.setattr(letters, "_font", lambda _: pytest.fail("measured again"))
    assert [letters.width(words, pixels) for pixels in (16, 20)] == first


def test_widths_of_ever_new_lines_are_forgotten_again(letters):
    for number in range(KEPT_WIDTHS + 50):
        letters.width(f"{number}", 16)
    assert len(letters._sizes.widths) == KEPT_WIDTHS


def test_lines_are_never_wider_than_asked_and_lose_no_word(letters):
    words = "the brightest thing is clipped: there is no headroom left"
    lines = letters.wrapped(words, 16, 120)
    assert all(letters.width(line, 16) <= 120 for line in lines)
    assert " ".join(lines) == words
    assert letters.wrapped("", 16, 120) == []


@pytest.mark.parametrize("width", [60, 100, 160])
def test_a_word_too_long_for_a_line_goes_on_in_the_next(letters, width):
    word = "bench:signal=yuv422-10,exposure=-1.5"
    lines = letters.wrapped(f"of {word} it", 16, width)
    assert "".join(lines).replace(" ", "") == f"of{word}it"
    assert all(letters.width(line, 16) <= width for line in lines)
    assert lines[1][-1] in ":=-,"  # where a person would have ended the line


def test_a_line_that_is_cut_says_so(letters):
    assert letters.cut("short", 16, 100) == "short"


@pytest.mark.parametrize("align", list(Align))
def test_a_line_is_drawn_where_it_is_said_to_stand(letters, align):
    text = Text("+1.23", 100, 20, 30, (255, 255, 255), align)
    surface = pygame.Surface((200, 80), 0, 32)
    letters.draw(text, surface)
    area = letters.area(text)
    drawn = pygame.mask.from_threshold(surface, (255, 255, 255), (200, 200, 200, 255))
    # pygame's types promise one rectangle; there is a list of them.
    box = cast("list[pygame.Rect]", drawn.get_bounding_rects())
    assert min(r.left for r in box) >= area.left
    assert max(r.right for r in box) <= area.right
    assert max(r.bottom for r in box) <= area.bottom


def test_what_was_drawn_is_kept_but_not_without_end(letters):
    surface = pygame.Surface((50, 50), 0, 32)
    for number in range(600):
        letters.draw(Text(str(number), 0, 0, 12, (255, 255, 255)), surface)
    assert len(letters._drawn) <= 256


def test_type_that_was_just_used_is_kept_and_no_more_than_so_much():
    face_sizes.cache_clear()  # what was measured already asks for no type
    letters = Letters()
    for pixels in range(10, 10 + 3 * KEPT_FONTS):
        letters.width("words", pixels)
    assert list(letters._fonts) == list(range(10 + 2 * KEPT_FONTS, 10 + 3 * KEPT_FONTS))
    surface = pygame.Surface((80, 40), 0, 32)
    for number in range(2 * KEPT_WORDS):
        letters.draw(Text(f"{number}", 0, 0, 20, (255, 255, 255)), surface)
    kept = [words for words, _, _ in letters._drawn]
    assert kept == [f"{number}" for number in range(KEPT_WORDS, 2 * KEPT_WORDS)]
