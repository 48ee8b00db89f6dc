"""What was measured of a typeface, kept for every screen that is set in it.

Measuring a line is dearer than all the rest of painting it, a font is loaded for each em, and a
face gives the same lines the same sizes whoever asks.
"""

from collections import OrderedDict
from dataclasses import dataclass, field
from functools import lru_cache

from overlays.draw.layout.typeface import Typeface

KEPT_FACES = 4
KEPT_WIDTHS = 8192
"""Lines whose width is remembered: to break the sentences of a foot takes some two hundred, the
same ones at every frame. Then the first are forgotten, and measured once more if still in use."""


@dataclass(frozen=True, slots=True, eq=False)
class FaceSizes:
    """Sizes in pixels, as they were asked for.

    Attributes
    ----------
    widths:
        By a line and its em, the first that was measured first.
    reaches:
        By the em: how far letters reach above and below the line they stand on.
    """

    widths: OrderedDict[tuple[str, int], int] = field(default_factory=OrderedDict)
    reaches: dict[int, tuple[int, int]] = field(default_factory=dict)


@lru_cache(KEPT_FACES)
def face_sizes(face: Typeface) -> FaceSizes:
    """What is known of a face in this process, to be added to."""
    del face  # each has its own, by the cache
    return FaceSizes()


def keep_width(sizes: FaceSizes, words: str, pixels: int, width: int) -> None:
    """Remember how wide a line is at an em."""
    sizes.widths[words, pixels] = width
    if len(sizes.widths) > KEPT_WIDTHS:
        sizes.widths.popitem(last=False)
