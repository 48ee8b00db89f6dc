"""Memory that tests let go of and ask for again stays with the process.

Without that the C library gives arrays of some hundred kilobytes back to the system each time, and
the system clears each page of the next one: a sixth of what it takes to make a card's picture.
"""

import ctypes

# mallopt(3): above which size memory is asked for by itself, and how much may lie free at the end.
TRIM, BY_ITSELF = -1, -3
LARGE_BYTES = 32 << 20
"""The most that may be set."""
FREE_BYTES = 512 << 20


def keep_memory() -> None:
    """Ask the C library to keep what is let go, where it is one that can be asked."""
    asked = getattr(ctypes.CDLL(None), "mallopt", None)
    if asked is not None:
        asked(BY_ITSELF, LARGE_BYTES)
        asked(TRIM, FREE_BYTES)
