"""The chroma trace with its graticule, the spot's pixels and a ghost, as a panel of the screen."""

import math

import numpy as np
import numpy.typing as npt
import pygame

from overlays.draw.chroma.chroma import ChromaDrawer, Levels, add_light, presence
from overlays.draw.chroma.graticule import (
    BAR_LEVELS,
    SKIN_DEGREES,
    Disc,
    targets,
    tolerance_ring,
)
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Letters, Text
from overlays.draw.layout.theme import AMBER, LINE, PANEL, QUIET, SKY, TEXT, TextSize, Theme
from overlays.draw.moment.layers import Ghost
from overlays.draw.moment.shown import Measured
from overlays.draw.trace.ghost import FAINT, INK
from overlays.measure.balance.balance import BalanceSettings
from overlays.signal.levels import chroma_scale
from overlays.signal.signal import Components

MOST_SPOT_SAMPLES = 4096
NAMED = 6.0
"""Radius of a disc, in heights of its type, from which on names have room beside their boxes."""


class ChromaPanel:
    """Paints the panel; keeps the light of a ghost while it and the size stay as they are."""

    def __init__(self, letters: Letters) -> None:
        self._letters = letters
        self._live, self._past = ChromaDrawer(), ChromaDrawer()
        self._ghost: tuple[Ghost, Disc, Levels] | None = None
        self._ground: tuple[tuple[object, ...], pygame.Surface] | None = None

    def paint(  # noqa: PLR0913 - what a panel is made of
        self,
        surface: pygame.Surface,
        area: Area,
        measured: Measured | None,
        *,
        settings: BalanceSettings,
        theme: Theme,
        gain: int = 1,
        ghost: Ghost | None = None,
    ) -> None:
        """Paint a moment; without one, the empty graticule."""
        if measured is None:
            surface.fill(PANEL, (area.left, area.top, area.width, area.height))
            return
        disc = Disc(area, gain)
        counts, signal = measured.census.chroma, measured.yard.signal
        if counts is None:
            surface.fill(PANEL, (area.left, area.top, area.width, area.height))
            self._say("a chroma trace needs a feed of Y'CbCr", surface, disc, theme)
            return
        surface.blit(self._graticule(disc, measured, settings, theme), (area.left, area.top))
        pixels = pygame.surfarray.pixels2d(surface).T
        target = pixels[area.top : area.bottom, area.left : area.right]
        live = self._live.levels(counts, disc, signal)
        if ghost is not None:
            add_light(target, self._ghost_light(ghost, disc) * (1.0 - presence(live)), INK)
        add_light(target, live, TEXT)
        add_light(target, self._spot_light(measured, disc), AMBER)
        del pixels, target  # they keep the surface locked
        _ring_of_spot(surface, measured, disc, theme)

    def _say(self, words: str, surface: pygame.Surface, disc: Disc, theme: Theme) -> None:
        """A sentence across the middle of the disc."""
        size = theme.text_pixels(TextSize.SMALL)
        x, y = (round(value) for value in disc.middle)
        lines = self._letters.wrapped(words, size, disc.area.width)
        top = y - len(lines) * self._letters.height(size) // 2
        for line in lines:
            self._letters.draw(Text(line, x, top, size, QUIET, Align.CENTRE), surface)
            top += self._letters.height(size)

    def _ghost_light(self, ghost: Ghost, disc: Disc) -> Levels:
        known = self._ghost
        if known is None or known[:2] != (ghost, disc):
            if ghost.chroma is None:
                light = np.zeros((disc.area.height, disc.area.width), np.float32)
            else:
                light = FAINT * presence(self._past.levels(ghost.chroma, disc, ghost.signal))
            known = self._ghost = (ghost, disc, light)
        return known[2]

    def _graticule(
        self, disc: Disc, measured: Measured, settings: BalanceSettings, theme: Theme
    ) -> pygame.Surface:
        yard = measured.yard
        key = (disc, yard.signal, yard.carried, settings.gamut, settings.tolerance, theme)
        if self._ground is not None and self._ground[0] == key:
            return self._ground[1]
        made = pygame.Surface((disc.area.width, disc.area.height), 0, 32)
        made.fill(PANEL)
        home = Disc(Area(0, 0, disc.area.width, disc.area.height), disc.gain)
        line = theme.hairline
        middle = (round(home.middle[0]), round(home.middle[1]))
        for share in (1.0, 0.75, 0.5, 0.25):
            pygame.draw.circle(made, LINE, middle, round(home.radius * share), line)
        reach = round(home.radius)
        pygame.draw.line(made, LINE, (middle[0] - reach, middle[1]), (middle[0] + reach, middle[1]))
        pygame.draw.line(made, LINE, (middle[0], middle[1] - reach), (middle[0], middle[1] + reach))
        self._skin(made, home, theme)
        self._targets(made, home, measured, theme)
        ring = tolerance_ring(settings.gamut, settings.tolerance, yard.carried, yard.signal.matrix)
        points = [home.point(float(cb), float(cr)) for cb, cr in ring]
        if all(home.holds(float(cb), float(cr)) for cb, cr in ring):
            pygame.draw.polygon(made, SKY, points, max(line, 1))
        small = theme.text_pixels(TextSize.SMALL)
        self._letters.draw_on(PANEL, Text(f"×{disc.gain}", 6, 4, small, TEXT), made)
        self._ground = (key, made)
        return made

    def _skin(self, made: pygame.Surface, disc: Disc, theme: Theme) -> None:
        """The skin-tone line, from the middle to the rim, dashed so as to be told from the axes."""
        angle = math.radians(SKIN_DEGREES)
        x, y = disc.middle
        step = max(6 * theme.scale, 4.0)
        dashes = int(disc.radius / step)
        for n in range(1, dashes, 2):
            start, end = n * step, min((n + 1) * step, disc.radius)
            pygame.draw.line(
                made,
                QUIET,
                (x + start * math.cos(angle), y - start * math.sin(angle)),
                (x + end * math.cos(angle), y - end * math.sin(angle)),
                theme.hairline,
            )
        tiny = theme.text_pixels(TextSize.TINY)
        if disc.radius < NAMED * tiny:
            return
        at = disc.radius - 2.2 * tiny
        place = (round(x + at * math.cos(angle)), round(y - at * math.sin(angle)))
        label = Text("skin", place[0] - tiny, place[1], tiny, QUIET, Align.RIGHT)
        self._letters.draw_on(PANEL, label, made)

    def _targets(self, made: pygame.Surface, disc: Disc, measured: Measured, theme: Theme) -> None:
        tiny = theme.text_pixels(TextSize.TINY)
        half = max(round(5 * theme.scale), 4)
        for target in targets(measured.yard.signal.matrix):
            if not disc.holds(target.cb, target.cr, 2.0 * half):
                continue
            x, y = (round(value) for value in disc.point(target.cb, target.cr))
            box = pygame.Rect(x - half, y - half, 2 * half + 1, 2 * half + 1)
            full = target.level == BAR_LEVELS[1]
            pygame.draw.rect(made, QUIET if full else TEXT, box, theme.hairline)
            if not full and disc.radius >= NAMED * tiny:
                label = Text(target.name, x + half + 3, y - half - tiny // 2, tiny, TEXT)
                self._letters.draw(label, made)

    def _spot_light(self, measured: Measured, disc: Disc) -> Levels:
        """Full light at the place of each of the spot's chroma samples."""
        out = np.zeros((disc.area.height, disc.area.width), np.float32)
        cb, cr = spot_chroma(measured)
        x, y = disc.middle
        columns = np.floor(x - disc.area.left + cb * disc.pixels).astype(np.int64)
        rows = np.floor(y - disc.area.top - cr * disc.pixels).astype(np.int64)
        for across in (0, 1):
            for down in (0, 1):
                inside = (
                    (columns + across >= 0)
                    & (columns + across < disc.area.width)
                    & (rows + down >= 0)
                    & (rows + down < disc.area.height)
                )
                out[rows[inside] + down, columns[inside] + across] = 1.0
        return out


def spot_chroma(
    measured: Measured,
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Nominal Cb and Cr of the spot's chroma samples; of R'G'B' none."""
    frame, place = measured.frame, measured.place
    signal = frame.signal
    if signal.components is Components.RGB:
        return np.empty(0), np.empty(0)
    sub = signal.subsampling
    rows = slice(place.top // sub.rows, -(-(place.top + place.rows) // sub.rows))
    columns = slice(place.left // sub.columns, -(-(place.left + place.size) // sub.columns))
    scale = chroma_scale(signal)
    found = []
    for plane in frame.planes[1:]:
        codes = plane[rows, columns].astype(np.int64).ravel() >> frame.shift
        every = max(-(-codes.size // MOST_SPOT_SAMPLES), 1)
        nominal = (codes[::every].astype(np.float64) - scale.zero) / scale.span
        found.append(np.asarray(nominal, dtype=np.float64))
    return found[0], found[1]


def _ring_of_spot(surface: pygame.Surface, measured: Measured, disc: Disc, theme: Theme) -> None:
    """A ring about the spot's mean, so that few pixels are found among many."""
    cb, cr = spot_chroma(measured)
    if cb.size == 0:
        return
    at = float(cb.mean()), float(cr.mean())
    size = max(round(9 * theme.scale), 6)
    if disc.holds(*at, size):
        x, y = (round(value) for value in disc.point(*at))
        pygame.draw.circle(surface, AMBER, (x, y), size, max(round(2 * theme.scale), 1))
