"""The chroma trace: how many pixels have which Cb and Cr, as light on a disc.

Counts are shown by their logarithm, so that the faint tail of a nearly grey picture is seen beside
a wall of one colour.
"""

import numpy as np
import numpy.typing as npt

from overlays.draw.chroma.graticule import Disc, cells_of_pixels
from overlays.draw.layout.theme import Colour
from overlays.signal.signal import Signal

Counts = npt.NDArray[np.uint32]
Levels = npt.NDArray[np.float32]

FAINTEST = 0.22
"""Brightness of a single pixel's cell, of 1: seen at arm's length on the panel."""


def brightness(counts: Counts) -> Levels:
    """(256, 256) 0..1 of counts by (Cb, Cr): 0 for none, a logarithm from FAINTEST up."""
    light = np.log1p(counts.astype(np.float32))
    most = float(light.max())
    if most <= 0.0:
        return np.zeros_like(light)
    shown = FAINTEST + (1.0 - FAINTEST) * light / np.float32(most)
    return np.where(counts > 0, shown, np.float32(0.0)).astype(np.float32)


def presence(light: Levels) -> Levels:
    """Where a brightness shows anything at all, 0..1 with soft edges."""
    shown: Levels = np.minimum(light / np.float32(FAINTEST), np.float32(1.0))
    return shown


class ChromaDrawer:
    """Draws one disc; keeps what depends on its place, gain and signal."""

    def __init__(self) -> None:
        self._key: tuple[Disc, Signal] | None = None
        self._across: tuple[npt.NDArray[np.int64], Levels] | None = None
        self._down: tuple[npt.NDArray[np.int64], Levels] | None = None
        self._outside: npt.NDArray[np.bool_] | None = None

    def levels(self, counts: Counts, disc: Disc, signal: Signal) -> Levels:
        """(height, width) brightness of the disc's area, straight lines between cells.

        Parameters
        ----------
        counts:
            (256, 256) by (Cb, Cr), as `Census.chroma`.
        """
        self._prepare(disc, signal)
        assert self._across is not None
        assert self._down is not None
        light = brightness(counts)
        (left, right_share), (upper, lower_share) = self._across, self._down
        rows = light[:, upper] * (1.0 - lower_share) + light[:, upper + 1] * lower_share
        out = rows[left] * (1.0 - right_share)[:, None] + rows[left + 1] * right_share[:, None]
        shown: Levels = np.ascontiguousarray(out.T, dtype=np.float32)
        shown[self._outside] = 0.0
        return shown

    def _prepare(self, disc: Disc, signal: Signal) -> None:
        if self._key == (disc, signal):
            return
        columns, rows = cells_of_pixels(disc, signal)
        self._across, self._down = _split(columns), _split(rows)
        x, y = disc.middle
        area = disc.area
        away_x = area.left + np.arange(area.width) + 0.5 - x
        away_y = area.top + np.arange(area.height) + 0.5 - y
        self._outside = np.hypot(away_x[None, :], away_y[:, None]) > disc.radius
        self._key = (disc, signal)


def _split(cells: npt.NDArray[np.float32]) -> tuple[npt.NDArray[np.int64], Levels]:
    """Cell before each place, and how far it is on the way to the next."""
    within = np.clip(cells, 0.0, 254.999)
    before = np.floor(within).astype(np.int64)
    return before, (within - before).astype(np.float32)


def add_light(pixels: npt.NDArray[np.uint32], light: Levels, colour: Colour) -> None:
    """Mix a colour into (height, width) 0x00RRGGBB pixels by a brightness of 0..1."""
    lit = light > 0.004
    share = light[lit]
    under = pixels[lit]
    out = np.zeros_like(under)
    for shift, ink in zip((16, 8, 0), colour, strict=True):
        ground = ((under >> np.uint32(shift)) & np.uint32(255)).astype(np.float32)
        mixed = ground + (ink - ground) * share
        out |= mixed.astype(np.uint32) << np.uint32(shift)
    pixels[lit] = out
