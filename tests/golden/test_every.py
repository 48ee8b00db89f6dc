"""Every view in every state at every size is as it was, but where a change was meant."""

import json

import numpy as np
import pygame
import pytest

from tests.golden.cases import SCREENS
from tests.golden.every import CELLS, FILE, SIZES, VIEWS, means, number_of, screens
from tests.golden.playing import libraries

FEW = 6
"""Another release's type may change the mean of a cell by so much of 255."""
SHARE = 0.02
"""Of the cells, that may differ by more."""

with np.load(FILE) as _kept:
    KEPT = {
        str(name): (int(number), small)
        for name, number, small in zip(
            _kept["names"], _kept["numbers"], _kept["means"], strict=True
        )
    }
ALIKE = json.loads((SCREENS / "hashes.json").read_text())["libraries"] == libraries()


@pytest.mark.parametrize("view", VIEWS)
def test_every_state_at_every_size_is_as_it_was(view, tmp_path):
    changed, seen = [], set()

    def look(name, pixels):
        seen.add(name)
        number, small = KEPT.get(name, (0, np.zeros((CELLS, CELLS, 3), np.uint8)))
        if number == number_of(pixels):
            return
        apart = np.abs(small.astype(int) - means(pixels)).max(axis=2)
        if ALIKE or np.mean(apart > FEW) > SHARE:
            changed.append(f"{name}: {np.count_nonzero(apart)} cells, by {apart.max()} at most")
            surface = pygame.surfarray.make_surface(pixels.transpose(1, 0, 2))
            pygame.image.save(surface, tmp_path / f"{name}.png")

    screens(view, look)
    words = f"as they are now: {tmp_path}; `python -m tests.golden.every --keep` once looked at"
    assert changed == [], words
    assert seen == {name for name in KEPT if name.startswith(f"{view}, ")}


def test_all_views_are_kept_at_the_sizes_that_were_asked_for_and_turned():
    assert {name.rpartition(", ")[2] for name in KEPT} == {f"{c}x{r}" for c, r in SIZES}
    wide = {(480, 320), (800, 480), (1024, 600), (1280, 720), (1920, 1080)}
    assert set(SIZES) == wide | {(rows, columns) for columns, rows in wide}
    assert {name.partition(", ")[0] for name in KEPT} == set(VIEWS)


def test_means_of_cells_find_a_word_that_is_gone():
    screen = np.zeros((480, 800, 3), np.uint8)
    screen[100:112, 50:110] = 230  # as much ink as a short word in small type
    apart = np.abs(means(screen).astype(int) - means(np.zeros_like(screen))).max(axis=2)
    assert apart.max() > 3 * FEW
    assert means(np.full((321, 483, 3), 77, np.uint8)).tolist() == [[[77] * 3] * CELLS] * CELLS
