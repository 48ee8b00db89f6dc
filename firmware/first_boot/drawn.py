"""Draws the pictures of the first boot beforehand: `python -m firmware.first_boot.drawn FOLDER`."""

import os
import sys
from pathlib import Path

import numpy as np
import numpy.typing as npt

from firmware.first_boot.faces import PICTURES, StepFace
from firmware.journal.grey_png import grey_png
from overlays.draw.layout.typeface import typeface

COLUMNS, ROWS = 960, 540
GROUND, TEXT, QUIET = 16, 236, 173
"""Shades as those of `firmware.screen.splash`."""
SIZES = (30, 44, 34, 26)
"""Of the name, and of the lines below it, in pixels of height of an em."""
TOP, STEP = 110, (80, 78, 58)
"""Where the first line's middle is, and how far to the next."""


def draw(face: StepFace) -> npt.NDArray[np.uint8]:
    """One picture, (rows, columns), 0 black to 255 white."""
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
    import pygame.freetype  # noqa: PLC0415 - only here, and never on a board
    import pygame.surfarray  # noqa: PLC0415

    pygame.freetype.init()
    font = pygame.freetype.Font(typeface().file)
    canvas = pygame.Surface((COLUMNS, ROWS), 0, 32)
    canvas.fill((GROUND,) * 3)
    middle = TOP
    lines = ("midgrey", *face.words)
    for number, (words, size) in enumerate(zip(lines, SIZES, strict=True)):
        shade = TEXT if number == 1 else QUIET
        drawn, place = font.render(words, (shade,) * 3, size=size)
        place.center = (COLUMNS // 2, middle)
        canvas.blit(drawn, place)
        middle += STEP[min(number, len(STEP) - 1)]
    return np.ascontiguousarray(pygame.surfarray.array3d(canvas)[:, :, 1].T)


def main(folder: Path) -> None:
    """Draw them all into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for face in StepFace:
        (folder / f"{face.value[0]}.png").write_bytes(grey_png(draw(face)))


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else PICTURES)
