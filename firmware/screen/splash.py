"""The first thing on a screen: what is waited for, before anything that takes long is loaded.

Loading numba and what measures takes most of a second on a workstation and several on a board; a
dark screen says nothing of that. This loads SDL alone, and the window it opens is the one that is
drawn on later (`opened`). A panel's framebuffer has none: it is painted by what is not loaded yet.
"""

import os
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from firmware.errors import FirmwareError
from firmware.screen.drawing import Drawing
from firmware.screen.find_display import Driver, find_display
from firmware.screen.rotation import Rotation, rotation_asked, turned_size
from firmware.system.start_up import without
from firmware.written.arguments import parse_size
from firmware.written.options import RunOptions
from overlays.draw.layout.typeface import typeface

WORDS = "midgrey", "starting: loading what measures"

GROUND, TEXT, QUIET = (14, 16, 18), (236, 236, 230), (172, 174, 172)
"""Those of `overlays.draw.layout.theme`, which itself loads half of all there is."""

ROWS_A_LINE = 18
"""A line of the words is one in so many of the screen's rows, as large as a sentence later."""

SEEN_BY = frozenset({Driver.WAYLAND, Driver.X11, Driver.KMS})


def before(
    options: RunOptions, environ: Mapping[str, str] = os.environ, root: Path = Path("/")
) -> bool:
    """Show the words, if a run with these options will draw on a screen that SDL opens.

    What is wrong with the options or the display is not said here: the run itself says it.

    Parameters
    ----------
    options:
        What was typed.
    environ, root:
        The process's environment, and the file system to look for a display in.

    Returns
    -------
    bool
        Whether they are on the screen.
    """
    if options.headless or find_display(environ, root).driver not in SEEN_BY:
        return False
    try:
        size = None if options.size is None else parse_size(options.size)
        rotation = rotation_asked(options.rotate, environ)
    except FirmwareError:
        return False
    with suppress(Exception):  # whatever it is, the run meets it again and says it
        _show(Drawing.WINDOW, size, rotation)
        return True
    return False


def _show(drawing: Drawing, size: tuple[int, int] | None, rotation: Rotation) -> None:
    # pygame greets on standard output at import unless told not to.
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
    # It would like pkg_resources for files within zips, which ours are not: a tenth of the start.
    with without("pkg_resources"):
        import pygame  # noqa: PLC0415 - only where there is a screen
        import pygame.freetype  # noqa: PLC0415

        from firmware.screen.opened import LARGEST, opened  # noqa: PLC0415
    window = opened(drawing, size, turned_size(LARGEST, rotation))
    columns, rows = turned_size(window.get_size(), rotation)
    canvas = pygame.Surface((columns, rows), 0, window)
    canvas.fill(GROUND)
    pygame.freetype.init()
    face = typeface()
    font = pygame.freetype.Font(face.file)
    high = max(12.0, min(rows, columns) / ROWS_A_LINE / face.em_share)
    for line, (words, colour) in enumerate(zip(WORDS, (TEXT, QUIET), strict=True)):
        drawn, place = font.render(words, colour, size=high)
        place.center = (columns // 2, int(rows // 2 + (line - 0.5) * 1.6 * high))
        canvas.blit(drawn, place)
    window.blit(pygame.transform.rotate(canvas, -rotation.value), (0, 0))
    pygame.display.flip()
