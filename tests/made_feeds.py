"""Made cameras on made ways: frames of cap, card and clip as a feed delivers them.

The chain is built by arithmetic of its own: the curve's value is laid on the link's codes (1023 v,
or 64 + 876 v: tests/reference/curves.csv), rounded, and squeezed or stretched in whole codes as
sticks do (black 30 and white 218 of 8 bits after one squeeze: sipeed/NanoKVM issue 101).
"""

from dataclasses import dataclass

import numpy as np

from overlays.measure.counting.census import take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.feedcheck.readings import (
    CodeReading,
    What,
    reading_of_clip,
    reading_of_spot,
)
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, Signal, Subsampling

EDGE = 64
SQUEEZES = {Range.SQUEEZED: 1, Range.SQUEEZED_TWICE: 2}


@dataclass(frozen=True)
class Way:
    """What a frame goes through: depth, carriage, range, noise in codes of 8 bits and its blur."""

    bits: int
    carriage: Carriage
    range: Range
    noise: float = 0.4
    blurred: bool = False


def noise_of(rng, way):
    """(EDGE, EDGE) of the noise's deviation; blurred as interpolation does, in a 3x3 mean."""
    white = rng.normal(0.0, 1.0, (EDGE + 2, EDGE + 2))
    deviation = way.noise * 2.0 ** (way.bits - 8)
    if not way.blurred:
        return deviation * white[1:-1, 1:-1]
    down = white[:-2] + white[1:-1] + white[2:]
    return deviation / 3.0 * (down[:, :-2] + down[:, 1:-1] + down[:, 2:])


def delivered(value, way, rng):
    """(EDGE, EDGE) whole codes of a curve's value 0..1."""
    step, top = 2.0 ** (way.bits - 8), 2**way.bits - 1
    if way.range is Range.FULL:
        return np.clip(np.rint(top * value + noise_of(rng, way)), 0, top)
    link = 1023.0 * value if way.carriage is Carriage.FULL else 64.0 + 876.0 * value
    codes = np.clip(np.rint(link * step / 4.0 + noise_of(rng, way)), step, top - step)
    if way.range is Range.STRETCHED:
        return np.clip(np.rint((codes - 16 * step) * top / (219 * step)), 0, top)
    for _ in range(SQUEEZES.get(way.range, 0)):
        codes = np.rint(16 * step + codes * 219 * step / top)
    return codes


def grey_frame(codes, bits, claimed=Range.LIMITED):
    """A grey picture of luma codes."""
    kind = np.uint8 if bits == 8 else np.uint16
    grey = np.full((EDGE, EDGE), 1 << (bits - 1), kind)
    return Frame(
        (codes.astype(kind), grey, grey), Signal(bits, claimed, subsampling=Subsampling.S444)
    )


def value_of(curve, linear):
    """The curve's value of linear light."""
    return float(published_curve(curve).encode(linear))


def readings_of(curve, way, lights, rng):
    """Readings of things by their linear light."""
    out = {}
    for what, linear in lights.items():
        frame = grey_frame(delivered(value_of(curve, linear), way, rng), way.bits)
        yard = yardstick(frame.signal, published_curve("BT.709"))
        if what is What.CLIP:
            out[what] = reading_of_clip(take_census(frame, yard), yard)
        else:
            out[what] = reading_of_spot(read_spot(frame, yard, SpotPlace(32, 32, 48)), yard)
    return out


def means_of(curve, way, lights, rng):
    """The same by arithmetic alone, some twenty times as fast: plain means of the same codes.

    Of n samples of deviation s a mean is off by 1.96 s / sqrt(n), of n / 9 in noise that is blurred
    over 3x3, and by exp(-2 pi^2 s^2) / pi of rounding (Widrow & Kollar, of normal noise).
    """
    out = {}
    for what, linear in lights.items():
        codes = delivered(value_of(curve, linear), way, rng)
        spread = max(float(codes.std()), 1e-3)
        noise = way.noise * 2.0 ** (way.bits - 8)
        pm = 1.96 * spread / np.sqrt(codes.size / (9.0 if way.blurred else 1.0))
        pm += np.exp(-2.0 * (np.pi * noise) ** 2) / np.pi
        if what is What.CLIP:
            pm = 2.0**way.bits / 256.0
        out[what] = CodeReading(float(codes.mean()), float(pm), spread)
    return out


def set_up(rng, way, curve, card_stops):
    """Lights of cap, card, clip, white chip and darkened card, each as far off as is stated."""
    error = rng.uniform(-card_stops, card_stops)
    metered = np.clip(error, -0.1, 0.1)
    found = published_curve(curve)
    top = 1.0 if way.carriage is Carriage.FULL or way.range is Range.FULL else 1019.0 / 1023.0
    highest = min(float(np.log2(found.decode(top) / 0.18)), 9.0)
    return {
        What.CAP: rng.uniform(-0.0004, 0.0004),
        What.CARD: 0.18 * 2.0**error,
        What.CLIP: 0.18 * 2.0 ** rng.uniform(2.32, max(highest, 2.33)),
        What.WHITE: 0.90 * 2.0**metered * rng.uniform(0.96, 1.04),
        What.DARK: 0.18 * 2.0 ** (error - 4.0 + rng.uniform(-0.1, 0.1)),
    }
