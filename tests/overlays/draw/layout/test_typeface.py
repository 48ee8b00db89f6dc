"""What the typeface was chosen for, measured on it."""

from itertools import product

import pygame
import pytest

from overlays.draw.layout import typeface as module
from overlays.draw.layout.lettering import Letters, Text
from overlays.draw.layout.theme import TextSize, theme_for
from overlays.draw.layout.typeface import FILE, STAND_IN, Typeface, typeface

FIGURES = "0123456789"
SIGNS = "+−±"
INK = (255, 255, 255)


@pytest.fixture(scope="module")
def plex():
    face = typeface()
    assert not face.missing, f"{face.missing} (or pip install -e '.[test]' once more)"
    return Letters(face)


def ink(letters, words, pixels):
    """Where letters are, of a line laid at 20, 20."""
    surface = pygame.Surface((40 + letters.width(words, pixels), 40 + 2 * pixels), 0, 32)
    letters.draw(Text(words, 20, 20, pixels, INK), surface)
    return pygame.surfarray.array2d(surface) & 0xFF


@pytest.mark.parametrize("pixels", [15, 16, 19, 23, 33, 56, 83, 200])
def test_figures_and_signs_have_one_width_so_that_numbers_do_not_jump(plex, pixels):
    (width,) = {plex.width(sign * 5, pixels) for sign in FIGURES + SIGNS}
    assert plex.width("18", pixels) == plex.width("81", pixels) == pytest.approx(width * 2 / 5)
    # No kerning between any two of what numbers are made of.
    point = {plex.width(f"{a}.{b}", pixels) for a, b in product(FIGURES, repeat=2)}
    assert len(point) == 1
    assert len({plex.width(f"{a}{b}", pixels) for a, b in product(FIGURES + SIGNS, FIGURES)}) == 1


def test_a_figure_stands_on_the_same_pixels_whatever_is_before_it(plex):
    ones, eights = ink(plex, "11.1", 83), ink(plex, "88.1", 83)
    last = 20 + plex.width("88.", 83)
    assert (ones[last:] == eights[last:]).all()
    assert not (ones[:last] == eights[:last]).all()


def test_a_minus_is_as_wide_as_a_plus_and_no_hyphen(plex):
    assert plex.width("−", 83) == plex.width("+", 83) > 1.4 * plex.width("-", 83)
    rows = ink(plex, "−", 83).any(axis=0).nonzero()[0]
    plus = ink(plex, "+", 83).any(axis=0).nonzero()[0]
    assert rows.mean() == pytest.approx(plus.mean(), abs=1.5)


@pytest.mark.parametrize("pair", ["AV", "To", "Va", "Yo"])
def test_letters_are_kerned(plex, pair):
    assert plex.width(pair, 100) < plex.width(pair[0], 100) + plex.width(pair[1], 100)


@pytest.mark.parametrize("pixels", [15, 23])
@pytest.mark.parametrize("alike", ["Il", "l1", "I1", "O0", "8B", "5S", "6G"])
def test_signs_that_are_taken_for_each_other_differ(plex, alike, pixels):
    one, other = (ink(plex, sign * 3, pixels) for sign in alike)
    assert one.shape != other.shape or (abs(one.astype(int) - other) > 128).mean() > 0.004


def test_it_is_narrower_than_the_stand_in_by_a_tenth(plex):
    said = "the brightest thing is 2.1 stops under clip, headroom of R 3.4 st"
    assert plex.width(said, 100) < 0.92 * Letters(STAND_IN).width(said, 100)


@pytest.mark.parametrize("face", [typeface(), STAND_IN], ids=["own", "stand-in"])
@pytest.mark.parametrize("pixels", [15, 19, 83])
def test_all_letters_of_a_line_lie_in_its_box(face, pixels):
    letters = Letters(face)
    rows = ink(letters, "bdfhklé(|%/ gjpqy,;Q −0.18", pixels).any(axis=0).nonzero()[0]
    assert rows[0] >= 20
    assert rows[-1] < 20 + letters.height(pixels)


def test_no_stroke_of_the_least_type_is_thinner_than_a_pixel(plex):
    least = theme_for(480, 320).text_pixels(TextSize.TINY)
    upright = ink(plex, "l", least)
    # Light over the width of the stem, in pixels of full light.
    assert upright.astype(float).sum(axis=0).max() / 255.0 >= 1.0


def test_without_the_package_pygames_own_stands_in_and_one_sentence_says_so(monkeypatch):
    monkeypatch.setattr(module, "find_spec", lambda _name: None)
    typeface.cache_clear()
    try:
        letters = Letters()
    finally:
        monkeypatch.undo()
        typeface.cache_clear()
    assert letters.width("18", 20) > 0
    assert letters.missing.count("pip install fontpkg-ibm-plex-sans-condensed") == 1
    assert letters.missing.count(": ") == 1


def test_a_package_without_its_file_is_no_end(tmp_path):
    damaged = tmp_path / "damaged.ttf"
    damaged.write_bytes(b"no typeface at all")
    for path in (f"{tmp_path}/{FILE}", str(damaged)):
        letters = Letters(Typeface(path))
        assert letters.width("18", 20) > 0
        assert "not installed" in letters.missing
