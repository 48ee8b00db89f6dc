from pathlib import Path

import pygame
import pytest

from overlays.draw.layout import face_sizes
from overlays.draw.layout.lettering import Letters
from overlays.draw.layout.typeface import STAND_IN, Typeface, typeface

LINE = "camera A is 0.31 stops under camera B"


@pytest.fixture(autouse=True)
def nothing_known():
    face_sizes.face_sizes.cache_clear()


def sizes_of(letters):
    return [(letters.width(LINE, em), letters.height(em), letters.base(em)) for em in (16, 23)]


@pytest.mark.parametrize("face", [typeface(), STAND_IN], ids=["own", "stand-in"])
def test_the_next_screen_measures_nothing_again(face, monkeypatch):
    first = sizes_of(Letters(face))
    monkeypatch.setattr(pygame.font, "Font", None)
    assert sizes_of(Letters(face)) == first


def test_another_face_has_sizes_of_its_own():
    assert sizes_of(Letters(typeface())) != sizes_of(Letters(STAND_IN))


def test_what_is_measured_by_the_stand_in_is_never_said_of_the_face_it_stands_in_for(tmp_path):
    path = tmp_path / "own.ttf"
    path.write_bytes(b"no typeface at all")
    face = Typeface(str(path))
    assert sizes_of(Letters(face)) == sizes_of(Letters(STAND_IN))
    path.write_bytes(Path(typeface().file).read_bytes())
    assert sizes_of(Letters(face)) == sizes_of(Letters(typeface()))


def test_only_so_many_lines_are_kept_and_each_is_measured_right(monkeypatch):
    monkeypatch.setattr(face_sizes, "KEPT_WIDTHS", 3)
    letters = Letters()
    lines = [LINE[:count] for count in range(1, 12)]
    widths = [letters.width(line, 16) for line in lines]
    assert widths == [pygame.font.Font(typeface().file, 16).size(line)[0] for line in lines]
    kept = face_sizes.face_sizes(typeface()).widths
    assert list(kept) == [(line, 16) for line in lines[-3:]]
