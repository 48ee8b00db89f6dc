"""The stop map: the picture repainted by stops around mid-grey, for eyes only.

One colour is one stop: that of 0 holds the levels from half a stop below mid-grey to half a stop
above. The ends hold all that is farther. What is clipped and what is below the floor is striped, as
levels above and below a band are everywhere on the screen.
"""

import numpy as np
import numpy.typing as npt

from overlays.draw.layout.theme import Colour, Theme, pixel_of
from overlays.draw.picture.stripes import PaintedBand, painted_bands
from overlays.errors import BandError
from overlays.measure.counting.bands import Band, BandKind, CodeBand, code_band
from overlays.measure.counting.yardstick import Yardstick
from overlays.signal.curves import linear_to_stops
from overlays.signal.levels import luma_scale
from overlays.signal.quantities import percent

Pixels = npt.NDArray[np.uint32]

BELOW, ABOVE = 6, 6
"""Stops from mid-grey that have a colour of their own."""

COLOURS: tuple[Colour, ...] = (
    (16, 29, 35),
    (28, 46, 57),
    (40, 62, 82),
    (54, 77, 110),
    (70, 88, 146),
    (99, 91, 193),
    (118, 118, 118),
    (192, 113, 67),
    (217, 128, 75),
    (227, 152, 109),
    (232, 179, 150),
    (240, 208, 191),
    (248, 239, 234),
)
"""`ramp.derive_ramp(BELOW, ABOVE)`, from the darkest to the lightest."""

MOST_LEVELS = 4096
"""Of the table: what lies in the first cache, and more than the codes that are drawn."""


def map_table(yard: Yardstick, drawn_bits: int, scale: int) -> tuple[Pixels, int]:
    """Pixels by scaled code of luma, and by how many bits such a code is shifted to find its own.

    Parameters
    ----------
    yard:
        Of the frame's signal.
    drawn_bits:
        Of the codes that are drawn.
    scale:
        What they are multiplied by.
    """
    most = ((1 << drawn_bits) - 1) * scale
    down = max(most.bit_length() - (MOST_LEVELS - 1).bit_length(), 0)
    count = (most >> down) + 1
    scaled = (np.arange(count) << down) + ((1 << down) - 1) / 2.0
    codes = scaled / scale * float(1 << (yard.signal.bits - drawn_bits))
    luma = luma_scale(yard.signal)
    stops = linear_to_stops(yard.carried.light((codes - luma.zero) / luma.span))
    # Below black there is no light, and so the darkest colour.
    nearest = np.floor(np.nan_to_num(stops, nan=-BELOW, neginf=-BELOW, posinf=ABOVE) + 0.5)
    at = np.clip(nearest + BELOW, 0, len(COLOURS) - 1)
    pixels = np.array([pixel_of(colour) for colour in COLOURS], np.uint32)
    return pixels[at.astype(np.int64)], down


def ends(yard: Yardstick) -> tuple[CodeBand, ...]:
    """What is clipped, and what is below the floor, as far as there are codes for it."""
    margin = max(yard.clip_margins)
    found = []
    for kind, level in (
        (BandKind.ABOVE, yard.first_clip_percent - margin),
        (BandKind.BELOW, yard.floor_percent),
    ):
        try:
            found.append(code_band(Band(kind, percent(level)), yard))
        except BandError:
            continue  # no code lies there
    return tuple(found)


def painted_ends(yard: Yardstick, theme: Theme, columns: int) -> tuple[PaintedBand, ...]:
    """The stripes of both ends for a picture of so many columns."""
    return painted_bands(ends(yard), theme, columns)
