"""How large the picture and the main reading of each view are: ``python -m tests.legible``.

Prints the table of DEVELOPERS.md; `tests/overlays/draw/test_legible.py` holds it to what is drawn.
"""

import math
from dataclasses import dataclass

import numpy as np
import pygame

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
HEAD = "| view | " + " | ".join(f"{wide}x{high}, {d:g} in" for (wide, high), d in PANELS.items())


@dataclass(frozen=True)
class Size:
    """Of one view on one panel.

    Attributes
    ----------
    share:
        Of the screen that the picture takes, 0 to 1.
    minutes:
        Height of the figures of its main reading as an angle, in arc minutes.
    """

    share: float
    minutes: float

    @property
    def cell(self) -> str:
        """As it stands in the table."""
        picture = f"{100.0 * self.share:.0f} %, " if self.share else ""
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
    pitch_mm = 25.4 * PANELS[size] / math.hypot(*size)
    return 60.0 * math.degrees(2.0 * math.atan(rows * pitch_mm / 2.0 / distance_mm))


def sizes() -> dict[str, list[Size]]:
    """Of every view, on every panel."""
    papers = {size: Paper(size) for size in PANELS}
    found: dict[str, list[Size]] = {}

    def look(shown: Shown) -> None:
        if shown.view.name in found:
            return
        found[shown.view.name] = []
        far = shown.view.arrangement is Arrangement.NUMBER
        for size, paper in papers.items():
            made, lines = paper.lay(shown)
            main = max((line.text for line in lines), key=lambda text: text.pixels)
            area = made.picture
            share = 0.0 if area is None else area.width * area.height / (size[0] * size[1])
            angle = minutes(figure_rows(paper, main), size, FAR_MM if far else ARM_MM)
            found[shown.view.name].append(Size(share, angle))

    every_view(FEED, None, look)
    return found


def table() -> list[str]:
    """Its lines."""
    rows = [f"{HEAD} |", f"|---|{'---|' * len(PANELS)}"]
    for name, each in sizes().items():
        rows.append(f"| {name} | " + " | ".join(size.cell for size in each) + " |")
    return rows


if __name__ == "__main__":
    print("\n".join(table()))
