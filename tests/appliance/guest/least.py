"""The least that a start could cost here: the libraries alone, or with a first frame behind them.

    python least.py imports | frame

`frame` is what the appliance cannot do without, written down straight: the libraries, the screen
with a start-up picture, and one frame counted by a kernel from numba's cache and shown.
"""

import sys

import numba
import numpy as np
import pygame

ROWS, COLUMNS = 1080, 1920


@numba.njit(cache=True)
def count(plane, counts):
    """How often each code occurs."""
    for row in range(plane.shape[0]):
        for column in range(plane.shape[1]):
            counts[plane[row, column]] += 1


def first_frame() -> None:
    """A start-up picture, then a counted one."""
    pygame.display.init()
    flags = pygame.SCALED | pygame.FULLSCREEN
    screen = pygame.display.set_mode((1280, 720), flags, 32, vsync=1)
    pygame.display.flip()
    frame = np.full((ROWS, COLUMNS), 0x80, np.uint8)
    counts = np.zeros(256, np.int64)
    count(frame, counts)
    assert counts[0x80] == ROWS * COLUMNS
    pygame.surfarray.pixels3d(screen)[:, :, 1] = frame[:720, :1280].T
    pygame.display.flip()
    pygame.display.quit()


if sys.argv[1] == "frame":
    first_frame()
