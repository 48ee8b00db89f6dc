"""What of the page's look is derived: colours of the screen as CSS, its icon, what installs it."""

from functools import cache
from typing import Any

import numpy as np

from firmware.journal.grey_png import grey_png
from overlays.draw.layout import theme

NAME = "midgrey"
SIDES = (192, 512)
"""Edges of the icon, pixels, that phones ask for (Web Application Manifest, W3C; from memory)."""
MID_GREY = 0.18
"""Of white's light."""

COLOURS = {
    "ground": theme.GROUND,
    "panel": theme.PANEL,
    "line": theme.LINE,
    "text": theme.TEXT,
    "quiet": theme.QUIET,
    "edge": theme.EDGE,
    "red": theme.RED,
    "amber": theme.AMBER,
    "teal": theme.TEAL,
    "sky": theme.SKY,
    "violet": theme.VIOLET,
    "red-words": theme.RED_WORDS,
    "teal-words": theme.TEAL_WORDS,
    "violet-words": theme.VIOLET_WORDS,
}
"""By the names that the style sheet uses: those of the screen, so that both say the same."""


def hexadecimal(colour: theme.Colour) -> str:
    """A colour as CSS writes it.

    Examples
    --------
    >>> hexadecimal((14, 16, 18))
    '#0e1012'
    """
    return "#" + "".join(f"{value:02x}" for value in colour)


def colours_css() -> str:
    """The style sheet that gives each colour its name."""
    lines = [f"  --{name}: {hexadecimal(colour)};" for name, colour in COLOURS.items()]
    return ":root {\n" + "\n".join(lines) + "\n}\n"


def manifest() -> dict[str, Any]:
    """What a phone needs to put the page on its home screen (Web Application Manifest, W3C)."""
    ground = hexadecimal(theme.GROUND)
    return {
        "name": NAME,
        "short_name": NAME,
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": ground,
        "theme_color": ground,
        "icons": [
            {"src": f"/icon-{side}.png", "sizes": f"{side}x{side}", "type": "image/png"}
            for side in SIDES
        ],
    }


@cache
def icon(side: int) -> bytes:
    """A disc of mid-grey on the ground of the screen, with a band of white and one of black.

    It is what the name says: 18 % of white's light, as sRGB codes it (IEC 61966-2-1).
    """
    at = (np.arange(side) + 0.5) / side - 0.5
    across, down = np.meshgrid(at, at)
    shades = np.full((side, side), theme.GROUND[1], np.uint8)
    disc = across**2 + down**2 <= 0.4**2
    grey = round(255 * (1.055 * MID_GREY ** (1 / 2.4) - 0.055))
    shades[disc] = grey
    shades[disc & (down < -0.2)] = 255
    shades[disc & (down > 0.2)] = 0
    return grey_png(shades)
