"""Every view in every state at every size, upright too: `python -m tests.golden.every [--keep]`.

Two thousand screens. Of each is kept a number that is exact, and its means over 16 by 16 cells, by
which it can be compared where another release of the libraries draws type a little differently.
`--sheets FOLDER` writes contact sheets to be looked at, `--feed` of another feed than the kept one.
"""

import argparse
import hashlib
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pygame

from firmware.instruments.registry import REGISTRY
from overlays.draw.moment.shown import Shown
from overlays.draw.painter import Painter
from tests.golden.cases import CHIPS, LOG, SCREENS
from tests.golden.playing import pixels_of
from tests.moments import every_view
from tests.states import WIDE, states

FILE = SCREENS / "every.npz"
SIZES = (*WIDE, *(size[::-1] for size in WIDE))
VIEWS = tuple(view.name for view in REGISTRY.views())
PROFILE = "log-v"
CELLS = 16

Pixels = npt.NDArray[np.uint8]


class Screens:
    """A screen of each size, kept between moments for its letters."""

    def __init__(self, sizes=SIZES) -> None:
        self.painters = {}
        for size in sizes:
            surface = pygame.Surface(size, 0, 32, (0xFF0000, 0xFF00, 0xFF, 0))
            self.painters[size] = surface, Painter(surface)

    def painted(self, shown: Shown) -> Iterator[tuple[tuple[int, int], Pixels]]:
        """(rows, columns, 3) of each size, all painted anew."""
        for size, (surface, painter) in self.painters.items():
            painter._layout = None
            painter.paint(shown)
            yield size, pixels_of(surface)


def screens(view: str, seen: Callable[[str, Pixels], None], feed: str = LOG, sizes=SIZES) -> None:
    """Show every screen of a view by a name of its own, one at a time: all are half a gigabyte."""
    made = Screens(sizes)
    is_known = False

    def look(shown: Shown) -> None:
        nonlocal is_known
        # What is marked is one state more of a view that was seen in all the others.
        every = {"marked": shown} if is_known else states(shown)
        is_known = True
        for name, moment in every.items():
            for (columns, rows), pixels in made.painted(moment):
                seen(f"{view}, {name}, {columns}x{rows}", pixels)

    every_view(feed, PROFILE, look, pins=CHIPS, spot=CHIPS[1], views=[view])


def number_of(pixels: Pixels) -> int:
    """The first 64 bits of its hash."""
    return int.from_bytes(hashlib.sha256(pixels).digest()[:8], "big")


def means(pixels: Pixels) -> Pixels:
    """(CELLS, CELLS, 3): the screen averaged over cells of about the same size."""
    rows, columns = (np.linspace(0, each, CELLS + 1).astype(int) for each in pixels.shape[:2])
    sums = np.add.reduceat(pixels.astype(np.uint32), rows[:-1], axis=0)
    sums = np.add.reduceat(sums, columns[:-1], axis=1)
    of = np.diff(rows)[:, None, None] * np.diff(columns)[None, :, None]
    averaged: Pixels = np.rint(sums / of).astype(np.uint8)
    return averaged


def keep() -> None:
    """Write all of them anew."""
    names, numbers, small = [], [], []

    def seen(name: str, pixels: Pixels) -> None:
        names.append(name)
        numbers.append(number_of(pixels))
        small.append(means(pixels))

    for view in VIEWS:
        screens(view, seen)
    np.savez_compressed(
        FILE, names=np.array(names), numbers=np.array(numbers, np.uint64), means=np.array(small)
    )


def write_sheets(folder: Path, feed: str) -> None:
    """A sheet of all views for each size, each live; and one of each view in all its states."""
    folder.mkdir(parents=True, exist_ok=True)
    live: dict[str, list[Pixels]] = {}
    for view in VIEWS:
        found: list[tuple[str, Pixels]] = []
        screens(view, lambda *each, found=found: found.append(each), feed)
        for name, pixels in found:
            _, state, size = name.split(", ") if name.count(", ") == 2 else (view, "", "")
            if state in {"live", "marked"}:
                live.setdefault(size, []).append(pixels)
        states_of = [pixels for name, pixels in found if name.endswith("800x480")]
        _write_sheet(folder / f"{view}-states.png", states_of, 4)
    for size, pictures in live.items():
        _write_sheet(folder / f"live-{size}.png", pictures, 4)


def _write_sheet(path: Path, pictures: list[Pixels], across: int) -> None:
    rows, columns = pictures[0].shape[:2]
    sheet = pygame.Surface((across * columns, -(-len(pictures) // across) * rows), 0, 32)
    for n, picture in enumerate(pictures):
        one = pygame.surfarray.make_surface(picture.transpose(1, 0, 2))
        sheet.blit(one, (n % across * columns, n // across * rows))
    if sheet.get_width() > 3200:
        share = 3200 / sheet.get_width()
        sheet = pygame.transform.smoothscale(sheet, (3200, round(sheet.get_height() * share)))
    pygame.image.save(sheet, path)


def main() -> None:
    """Keep them, or write sheets."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keep", action="store_true")
    parser.add_argument("--sheets", type=Path)
    parser.add_argument("--feed", default=LOG)
    asked = parser.parse_args()
    if asked.sheets is not None:
        write_sheets(asked.sheets, asked.feed)
    if asked.keep:
        keep()


if __name__ == "__main__":
    main()
