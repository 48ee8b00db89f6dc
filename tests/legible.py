"""How large the picture and the main reading of each view are: ``python -m tests.legible``.

Prints the table of DEVELOPERS.md; `tests/overlays/draw/test_legible.py` holds it to what is drawn.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pygame

from overlays.draw.layout.layouts import Layout
from overlays.draw.layout.lettering import Text
from overlays.draw.layout.views import Arrangement
from overlays.draw.moment.shown import Shown
from tests.laid import Paper
from tests.moments import every_view

PANELS = {
    (480, 320): 3.5,
    (800, 480): 5.0,
    (1024, 600): 7.0,
    (1280, 720): 5.5,
    (1920, 1080): 7.0,
}
"""Diagonal in inches of panels that are sold with so many pixels (common practice, no source)."""
ARM_MM, FAR_MM = 600.0, 2000.0
"""An arm's length, and two metres for views that are one number (../shared/design/screen.md)."""
FEED = "bench:size=640x360,rate=2"
UPRIGHT = {(high, wide): inches for (wide, high), inches in PANELS.items()}
"""The same, turned by a quarter."""


@dataclass(frozen=True)
class Size:
    """Of one view on one panel.

    Attributes
    ----------
    share, free:
        Of the screen: what the picture takes, and what of it nothing lies on, 0 to 1.
    minutes:
        Height of the figures of its main reading as an angle, in arc minutes.
    """

    share: float
    free: float
    minutes: float

    @property
    def cell(self) -> str:
        """As it stands in the table."""
        free = f" ({100.0 * self.free:.0f})" if self.free < self.share else ""
        picture = f"{100.0 * self.share:.0f} %{free}, " if self.share else ""
        return f"{picture}{self.minutes:.0f}′"


def figure_rows(paper: Paper, text: Text) -> int:
    """Rows of ink of a figure of that size."""
    surface = pygame.Surface((4 * text.pixels, 3 * text.pixels), 0, 32)
    paper.letters.__class__.draw(
        paper.letters, Text("0", 10, 10, text.pixels, (255, 255, 255)), surface
    )
    inked = np.flatnonzero((pygame.surfarray.array2d(surface) & 0xFF).max(axis=0) > 127)
    return int(inked[-1] - inked[0] + 1)


def minutes(rows: int, size: tuple[int, int], distance_mm: float) -> float:
    """The angle of so many rows of a panel, in arc minutes."""
    pitch_mm = 25.4 * {**PANELS, **UPRIGHT}[size] / math.hypot(*size)
    return 60.0 * math.degrees(2.0 * math.atan(rows * pitch_mm / 2.0 / distance_mm))


def sizes(panels: Mapping[tuple[int, int], float] = PANELS) -> dict[str, list[Size]]:
    """Of every view, on every panel; laid once for each set of panels."""
    return _laid(tuple(panels))


@cache
def _laid(panels: tuple[tuple[int, int], ...]) -> dict[str, list[Size]]:
    papers = {size: Paper(size) for size in panels}
    found: dict[str, list[Size]] = {}

    def look(shown: Shown) -> None:
        if shown.view.name in found:
            return
        found[shown.view.name] = []
        far = shown.view.arrangement is Arrangement.NUMBER
        for size, paper in papers.items():
            made, lines = paper.lay(replace(shown, rail=()))
            main = max((line.text for line in lines), key=lambda text: text.pixels)
            angle = minutes(figure_rows(paper, main), size, FAR_MM if far else ARM_MM)
            whole = size[0] * size[1]
            area = made.picture
            share = 0.0 if area is None else area.width * area.height / whole
            found[shown.view.name].append(Size(share, free_of(paper, made) / whole, angle))

    every_view(FEED, None, look)
    return found


def free_of(paper: Paper, made: Layout) -> int:
    """Pixels of the picture on which no backing, trace, panel or foot lies while the rail rests."""
    area = made.picture
    if area is None:
        return 0
    there = np.zeros((made.screen.height, made.screen.width), bool)
    there[area.top : area.bottom, area.left : area.right] = True
    for over in (made.trace, made.panel, *paper.backings):
        if over is not None:
            there[over.top : over.bottom, over.left : over.right] = False
    there[made.foot.top :] = False
    return int(there.sum())


def table(panels: Mapping[tuple[int, int], float] = PANELS) -> list[str]:
    """Its lines."""
    head = " | ".join(f"{wide}x{high}, {inches:g} in" for (wide, high), inches in panels.items())
    rows = [f"| view | {head} |", f"|---|{'---|' * len(panels)}"]
    for name, each in sizes(panels).items():
        rows.append(f"| {name} | " + " | ".join(size.cell for size in each) + " |")
    return rows


if __name__ == "__main__":
    print("\n".join([*table(), "", *table(UPRIGHT)]))
