"""Colours and sizes of the screen. Calm and dark: the picture is the brightest thing on it."""

from dataclasses import dataclass
from enum import Enum

from overlays.draw.layout.panel_size import PanelSize
from overlays.measure.counting.bands import BandKind

Colour = tuple[int, int, int]

GROUND: Colour = (14, 16, 18)
"""Under everything. Nearly black and without hue, so that the eye does not adapt to it."""

PANEL: Colour = (26, 29, 32)
"""Under the trace and other instruments."""

LINE: Colour = (66, 71, 76)
"""Rules and scale lines; never the only carrier of a meaning."""

TEXT: Colour = (236, 236, 230)
QUIET: Colour = (172, 174, 172)
"""Units, labels, scales: same contrast class as text (7:1 and more), less weight."""

GREY_CARD: Colour = (116, 118, 118)
"""Ground of a swatch: about mid-grey on a screen, as a picture might be."""

EDGE: Colour = (10, 10, 10)
"""Beside every light line that stands on the picture."""

RED: Colour = (255, 51, 0)
AMBER: Colour = (255, 204, 0)
TEAL: Colour = (51, 153, 153)
SKY: Colour = (153, 204, 255)
VIOLET: Colour = (153, 102, 255)
"""RED to VIOLET are `palette.derive([TEXT], PANEL, 5, LEAST_CONTRAST_MARK)`: any two of these and
TEXT stay at least `LEAST_DIFFERENCE` apart (CIEDE2000) for every sight in `palette.SIGHTS`."""

RED_WORDS: Colour = (255, 130, 122)
TEAL_WORDS: Colour = (63, 184, 184)
VIOLET_WORDS: Colour = (180, 150, 255)
"""The same hues for words and for what words stand on, as light as they need to be:
`palette.lifted(RED, PANEL, LEAST_CONTRAST_TEXT)` and so on. AMBER and SKY are so as they are."""

LEAST_DIFFERENCE = 17.5

CHANNELS: tuple[Colour, Colour, Colour] = ((255, 102, 102), (102, 221, 119), (119, 153, 255))
"""Traces of R', G', B': a letter and their place name them, so their hues need not."""

LEAST_CONTRAST_TEXT = 7.0
"""Contrast ratio of text on the ground (W3C, WCAG 2.2, success criterion 1.4.6)."""

LEAST_CONTRAST_MARK = 4.5
"""Of marks and lines that carry meaning; criterion 1.4.11 asks for 3."""

_STRIPES = {BandKind.AROUND: SKY, BandKind.ABOVE: RED, BandKind.BELOW: VIOLET}


class TextSize(Enum):
    """Ems of type in pixels on a screen 720 high, and the least on any screen.

    A scale in steps of 1.2 from 16: 16, 19, 23, 33 (two steps) and 83 (five more). A smaller screen
    has no room for such steps: its least sizes keep the order, and none is below 15 pixels, at
    which a stroke of the face is still wider than a pixel.
    """

    TINY = (16, 15)
    SMALL = (19, 16)
    BODY = (23, 19)
    LARGE = (33, 23)
    MAIN = (83, 56)


@dataclass(frozen=True, slots=True)
class Theme:
    """Colours and sizes for a screen.

    Attributes
    ----------
    scale:
        Its size against 1280x720.
    least:
        What the least sizes of type are multiplied by: more than 1 where the screen is known to be
        so small, or so far away, that they could not be read.
    per_mm:
        Pixels to a millimetre; None where that is not known.
    """

    scale: float = 1.0
    least: float = 1.0
    per_mm: float | None = None

    @property
    def edge(self) -> Colour:
        """Dark side of a line on the picture."""
        return EDGE

    @property
    def gap(self) -> int:
        """Space between things, pixels."""
        return max(round(12 * self.scale), round(6 * self.least))

    @property
    def hairline(self) -> int:
        """Width of a thin line, pixels."""
        return max(round(self.scale), 1)

    def stripe(self, kind: BandKind) -> Colour:
        """Colour of a stripe's light core."""
        return _STRIPES[kind]

    def text_pixels(self, size: TextSize) -> int:
        """Font height of a size of type."""
        wanted, least = size.value
        return max(round(wanted * self.scale), round(least * self.least))


FULL_ROWS = 480
"""Rows on which the least sizes leave every view whole."""


def theme_for(columns: int, rows: int, panel: PanelSize | None = None) -> Theme:
    """The theme of a screen, however it is turned.

    Parameters
    ----------
    columns, rows:
        Its size in pixels.
    panel:
        Its size in millimetres. Words are made large enough to be read from where they are read,
        as far as a screen of `FULL_ROWS` has room for; None leaves them as a screen of so many
        pixels has them.
    """
    shorter, longer = sorted((columns, rows))
    scale = min(longer / 1280.0, shorter / 720.0)
    if panel is None:
        return Theme(scale)
    _, body = TextSize.BODY.value
    wanted = panel.legible_em(columns, rows) / body
    return Theme(scale, max(min(wanted, shorter / FULL_ROWS), 1.0), panel.per_mm(columns, rows))


def pixel_of(colour: Colour) -> int:
    """0x00RRGGBB of a colour."""
    red, green, blue = colour
    return red << 16 | green << 8 | blue
