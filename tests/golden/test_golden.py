"""Screens and answers are what they were, but where a change was meant to be seen."""

import json
import time

import numpy as np
import pygame
import pytest

from tests.golden.cases import ANSWERS, COMMANDS, MOMENTS, SCREENS
from tests.golden.playing import answer, digest, libraries, means, play

KEPT = json.loads((SCREENS / "hashes.json").read_text())
SQUARE = 12
"""Another release's type may change the mean of a square of eight pixels by so much of 255."""
SHARE = 0.01
"""Of the squares, that may differ by more."""


@pytest.fixture(autouse=True)
def utc(monkeypatch):
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.mark.parametrize("moment", MOMENTS, ids=lambda moment: moment.name)
def test_a_screen_is_as_it_was(moment, tmp_path):
    pixels = play(moment)
    if digest(pixels) == KEPT[moment.name]:
        return
    surface = pygame.surfarray.make_surface(pixels.transpose(1, 0, 2))
    pygame.image.save(surface, tmp_path / "now.png")
    with np.load(SCREENS / "means.npz") as kept:
        apart = np.abs(kept[moment.name].astype(int) - means(pixels)).max(axis=2)
    words = (
        f"{moment.name}: squares that differ: {np.count_nonzero(apart)} of {apart.size}, by "
        f"{apart.max()} at the most, the first at {np.argwhere(apart)[:1].tolist()}; as it is "
        f"now: {tmp_path / 'now.png'}"
    )
    assert KEPT["libraries"] != libraries(), words
    assert np.mean(apart > SQUARE) <= SHARE, words


@pytest.mark.parametrize("name", COMMANDS)
def test_an_answer_is_as_it_was(name):
    assert answer(COMMANDS[name]) == (ANSWERS / f"{name}.json").read_text()


def test_nothing_is_kept_that_is_not_asked_for():
    assert {path.stem for path in ANSWERS.glob("*.json")} == set(COMMANDS)
    assert set(KEPT) - {"libraries"} == {moment.name for moment in MOMENTS}
