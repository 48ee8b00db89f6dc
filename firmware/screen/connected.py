"""How large the screen is that is plugged in, by what it says of itself."""

from pathlib import Path

from firmware.screen.find_display import edids
from overlays.draw.layout.panel_size import PanelSize

HEADER = bytes((0, *(255,) * 6, 0))
BLOCK = 128
LEAST_MM, MOST_MM = 40.0, 2500.0
"""Diagonals that are believed: some screens state 160 by 90 mm, or nothing, whatever they are."""
_SHAPES = {(160, 90), (16, 9), (160, 100), (16, 10)}
"""Sizes that are a shape, not a size (common practice, no source)."""


def connected_panel(root: Path = Path("/")) -> PanelSize | None:
    """The size of the one screen that is connected; None where none or several are, or none says.

    Parameters
    ----------
    root:
        The file system to look in.
    """
    there = edids(root)
    if len(there) != 1:
        return None
    try:
        return panel_size_of(there[0].read_bytes())
    except OSError:
        return None


def panel_size_of(edid: bytes) -> PanelSize | None:
    """The size that an EDID states, in millimetres where it does, else in whole centimetres.

    VESA Enhanced EDID Standard, release A revision 2 (2006): 3.6.2 (bytes 21 and 22, centimetres)
    and 3.10.2 (bytes 12 to 14 of a detailed timing, millimetres); sections from memory, bytes as
    `firmware.v4l2.edid` writes them.

    Parameters
    ----------
    edid:
        As the screen sends it.
    """
    block = edid[:BLOCK]
    if len(block) < BLOCK or block[:8] != HEADER or sum(block) % 256:
        return None
    timing = block[54:72]
    fine = (timing[12] | (timing[14] & 0xF0) << 4, timing[13] | (timing[14] & 0x0F) << 8)
    coarse = (10 * block[21], 10 * block[22])
    for wide, high in (fine if timing[0] or timing[1] else (0, 0), coarse):
        diagonal = float((wide**2 + high**2) ** 0.5)
        if wide and high and (wide, high) not in _SHAPES and LEAST_MM <= diagonal <= MOST_MM:
            return PanelSize(diagonal)
    return None
