"""Diagonal stripes over levels in a band; direction and spacing tell bands apart, colour helps.

Every line is dark on both sides of a light core, so that it reads on black, on white and on
anything between. The three kinds of band differ in how their lines lean and how close they
stand; bands of one kind differ in spacing.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.draw.layout.theme import Colour, Theme, pixel_of
from overlays.draw.picture.plane_words import dropped_bits
from overlays.measure.counting.bands import BandKind, CodeBand
from overlays.signal.frame import Frame

Pixels = npt.NDArray[np.uint32]
Long = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Weave:
    """How the lines of a stripe lie, in drawn pixels at a screen 720 high.

    A line moves `rise` pixels to the left in `run` rows downwards (negative: to the right);
    `period` from line to line along a row; `light` and `edge` are the widths of core and edge.
    """

    rise: int
    run: int
    period: int
    light: int
    edge: int = 1


WEAVES: dict[BandKind, Weave] = {
    BandKind.AROUND: Weave(rise=1, run=1, period=12, light=2),
    BandKind.ABOVE: Weave(rise=-1, run=1, period=7, light=2),
    BandKind.BELOW: Weave(rise=-1, run=3, period=20, light=2),
}
"""Around: rising to the right, medium. Above: falling to the right, dense. Below: steep, sparse."""

NARROWER = (1.0, 1.6, 2.2)
"""Spacing of the first, second and third band of a kind against its weave."""


@dataclass(frozen=True, slots=True, eq=False)
class StripePattern:
    """One row of a stripe, for a kernel.

    Attributes
    ----------
    row:
        (columns + period,) uint32 pixels; 0 where the picture shows through.
    period, rise, run:
        As in `Weave`, in drawn pixels; row `y` starts at ``(y * rise // run) % period``.
    """

    row: Pixels
    period: int
    rise: int
    run: int


@dataclass(frozen=True, slots=True, eq=False)
class PaintedBand:
    """A band of codes and the stripe it is painted with."""

    codes: CodeBand
    pattern: StripePattern
    colour: Colour


def scaled_weave(weave: Weave, scale: float, spacing: float) -> Weave:
    """The weave on a screen `scale` times 720 high, lines `spacing` times as far apart.

    Never denser than at 720: lines closer together run into a tone, and their lean is lost.
    """
    scale = max(scale, 1.0)
    light, edge = max(round(weave.light * scale), 1), max(round(weave.edge * scale), 1)
    period = max(round(weave.period * spacing * scale), light + 2 * edge + 1)
    return Weave(weave.rise, weave.run, period, light, edge)


def stripe_pattern(weave: Weave, light: Colour, dark: Colour, columns: int) -> StripePattern:
    """The pattern for a picture of so many columns."""
    tile = np.zeros(weave.period, np.uint32)
    tile[: weave.light + 2 * weave.edge] = pixel_of(dark)
    tile[weave.edge : weave.edge + weave.light] = pixel_of(light)
    repeats = -(-(columns + weave.period) // weave.period)
    row = np.tile(tile, repeats)[: columns + weave.period]
    return StripePattern(np.ascontiguousarray(row), weave.period, weave.rise, weave.run)


def painted_bands(
    bands: tuple[CodeBand, ...], theme: Theme, columns: int
) -> tuple[PaintedBand, ...]:
    """Each band with its own stripe: kind by kind, the second and third of a kind set wider."""
    seen: dict[BandKind, int] = {}
    painted = []
    for codes in bands:
        kind = codes.band.kind
        nth = seen.get(kind, 0)
        seen[kind] = nth + 1
        weave = scaled_weave(WEAVES[kind], theme.scale, NARROWER[min(nth, len(NARROWER) - 1)])
        colour = theme.stripe(kind)
        painted.append(
            PaintedBand(codes, stripe_pattern(weave, colour, theme.edge, columns), colour)
        )
    return tuple(painted)


def swatch(pattern: StripePattern, ground: Colour, rows: int, columns: int) -> Pixels:
    """A small piece of a stripe for the legend, (rows, columns) uint32."""
    out = np.full((rows, columns), pixel_of(ground), np.uint32)
    for y in range(rows):
        start = (y * pattern.rise // pattern.run) % pattern.period
        line = pattern.row[start : start + columns]
        out[y] = np.where(line != 0, line, out[y])
    return out


def stripe_tables(
    frame: Frame, scale: int, stripes: tuple[PaintedBand, ...], columns: int, lean: int = 1
) -> tuple[Long, Pixels]:
    """Bands in scaled codes, a code belonging to a band as soon as it rounds into it.

    With a `lean` of -1 lines lean the other way.
    """
    drop, top = dropped_bits(frame), (1 << frame.signal.bits) - 1
    bands = np.zeros((len(stripes), 5), np.int64)
    longest = max((s.pattern.period for s in stripes), default=1) + columns
    patterns = np.zeros((len(stripes), longest), np.uint32)
    for row, stripe in enumerate(stripes):
        low, high, made = stripe.codes.low, stripe.codes.high, stripe.pattern
        first = -32768 if low <= 0 else -((1 - (low >> drop) * 2) * scale // 2)
        last = 32767 if high >= top else ((high >> drop) * 2 + 1) * scale // 2
        bands[row] = (first, last, made.period, lean * made.rise, made.run)
        patterns[row] = np.resize(made.row[: made.period], longest)
    return bands, patterns
