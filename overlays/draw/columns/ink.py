"""Puts pieces onto a surface: type, blocks, and samples of stripes."""

import numpy as np
import numpy.typing as npt
import pygame

from overlays.draw.layout.lettering import Block, Hatch, Letters, Piece, Swatch, Text
from overlays.draw.layout.theme import GREY_CARD, theme_for
from overlays.draw.moment.shown import Shown
from overlays.draw.picture.stripes import (
    WEAVES,
    painted_bands,
    scaled_weave,
    stripe_pattern,
    swatch,
)

Pixels = npt.NDArray[np.uint32]


class Ink:
    """Writes on one surface. Belongs to the thread that owns it."""

    def __init__(self, surface: pygame.Surface, letters: Letters) -> None:
        self._surface, self._letters = surface, letters
        self._swatches: dict[object, Pixels] = {}

    def write(self, pieces: list[Piece], shown: Shown) -> None:
        """One over the other, in their order; samples are those of the stripes of a moment."""
        for piece in pieces:
            if isinstance(piece, Text):
                self._letters.draw(piece, self._surface)
            elif isinstance(piece, Block):
                area = piece.area
                self._surface.fill(piece.colour, (area.left, area.top, area.width, area.height))
            elif isinstance(piece, Swatch):
                self._swatch(piece, shown)
            else:
                self._hatch(piece)

    def _hatch(self, piece: Hatch) -> None:
        area, theme = piece.area, theme_for(*self._surface.get_size())
        weave = scaled_weave(WEAVES[piece.kind], theme.scale, 1.0)
        pattern = stripe_pattern(weave, theme.stripe(piece.kind), theme.edge, area.width)
        pixels = pygame.surfarray.pixels2d(self._surface).T
        pixels[area.top : area.bottom, area.left : area.right] = swatch(
            pattern, piece.ground, area.height, area.width
        )

    def _swatch(self, piece: Swatch, shown: Shown) -> None:
        area, stripe = piece.area, shown.stripes[piece.stripe]
        self._surface.fill(GREY_CARD, (area.left, area.top, area.width, area.height))
        if stripe.codes is None:
            return
        theme = theme_for(*self._surface.get_size())
        codes = tuple(each.codes for each in shown.stripes if each.codes is not None)
        key = (codes, stripe.codes, area.height, area.width)
        if key not in self._swatches:
            made = painted_bands(codes, theme, area.width)[codes.index(stripe.codes)]
            fresh = swatch(made.pattern, GREY_CARD, area.height, area.width)
            self._swatches = {**(self._swatches if len(self._swatches) < 16 else {}), key: fresh}
        pixels = pygame.surfarray.pixels2d(self._surface).T
        pixels[area.top : area.bottom, area.left : area.right] = self._swatches[key]
