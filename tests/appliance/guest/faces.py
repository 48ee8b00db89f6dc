"""Inside the guest: what stands on the framebuffer, and since when, by the guest's own clock.

    python3 faces.py NODE ROWS COLUMNS SECONDS

Prints a line, seconds of CLOCK_MONOTONIC and `alarm` or `other`, whenever that changes. The screen
is looked at where a face of alarm has its words, 32 bits a pixel.
"""

import sys
import time

import numpy as np

TOP, BOTTOM, LEFT, RIGHT = 4, 44, 12, 940
RED = (255, 130, 122)
"""As in checks_screen.py, of the usual view of 1280x720."""
LOOK_S = 0.01


def is_alarm(words: np.ndarray) -> bool:
    """Whether the colour of alarm lies there with dark words on it."""
    colour = np.stack([words >> shift & 255 for shift in (16, 8, 0)], axis=-1).astype(int)
    red = np.abs(colour - RED).max(axis=2) < 40
    dark = colour.max(axis=2) < 60
    return bool(red.mean() > 0.7 and 0.01 < dark.mean() < 0.25)


node, rows, columns, seconds = sys.argv[1], *map(int, sys.argv[2:])
screen = np.memmap(node, "<u4", "r", shape=(rows, columns))
end, was = time.monotonic() + seconds, None
while (now := time.monotonic()) < end:
    found = is_alarm(np.array(screen[TOP:BOTTOM, LEFT:RIGHT:4]))
    if found is not was:
        print(f"{now:.3f} {'alarm' if found else 'other'}", flush=True)
        was = found
    time.sleep(LOOK_S)
