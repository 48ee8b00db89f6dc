"""Made cameras of the published curves: cap, bracket and clip read, and what is true of them."""

from dataclasses import dataclass, replace

import numpy as np

from overlays.measure.characterise.camera import CameraFound, characterised
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.feedcheck.readings import CodeReading, What, reading_of_spot, tally_of
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, Signal
from tests.made_feeds import Way, delivered, grey_frame, readings_of, value_of

THIRD = 1.0 / 3.0
DARKEST = -9.0
"""Stops of the darkest step of a bracket."""
ROUNDED = 12.0**-0.5
"""Deviation that rounding to whole codes makes (even spread over one code)."""


@dataclass(frozen=True)
class Made:
    """What was read of a made camera.

    `clip_stops` is where it gives out, `noise` the deviation of a sample in codes of 8 bits.
    """

    curve: str
    bits: int
    noise: float
    cap: CodeReading
    bracket: list[tuple[float, CodeReading]]
    clip: CodeReading
    clip_stops: float

    def found(self) -> CameraFound:
        """What is made of it."""
        return characterised(self.cap, self.bracket, self.clip, Signal(self.bits))

    def values(self, stops: np.ndarray) -> np.ndarray:
        """What the curve gives light on the whole code scale, by its formula."""
        value = np.asarray(published_curve(self.curve).encode(0.18 * 2.0**stops))
        if published_curve(self.curve).carriage is Carriage.NARROW:
            return (64.0 + 876.0 * value) / 1023.0
        return value

    def floor(self) -> float:
        """Stops at which light is as large as noise and rounding: by the slope of the formula."""
        found = published_curve(self.curve)
        stops = np.linspace(-14.0, 2.0, 4000)
        value = np.asarray(found.encode(0.18 * 2.0**stops))
        codes = value * (1023.0 / 4.0 if found.carriage is Carriage.FULL else 219.0)
        step = 2.0 ** (8 - self.bits)
        ratio = np.gradient(codes, stops) / np.log(2.0)
        return float(stops[np.argmax(ratio > np.hypot(self.noise, ROUNDED * step))])

    def lowest_carried(self) -> float:
        """Stops at which the lowest code of the link begins to cut noise off."""
        stops = np.linspace(-14.0, 2.0, 4000)
        codes = self.values(stops) * 1023.0 / 4.0
        step = 2.0 ** (8 - self.bits)
        return float(stops[np.argmax(codes > step + 2.0 * max(self.noise, ROUNDED * step))])


def made_camera(curve, bits, noise, step=THIRD, seed=1, misset=None) -> Made:
    """A camera; from seed 2 on its bracket begins elsewhere within a step.

    `misset` is (stops, by how much) of one step.
    """
    rng, found = np.random.default_rng(seed), published_curve(curve)
    way = Way(bits, found.carriage, Range.LIMITED, noise)
    clip = min(float(np.log2(found.decode(0.93) / 0.18)), 7.0)
    first = DARKEST + (float(rng.uniform(0.0, step)) if seed > 1 else 0.0)
    bracket = []
    for stops in np.arange(first, clip + 0.5, step):
        off = misset[1] if misset is not None and abs(stops - misset[0]) < 0.01 else 0.0
        bracket.append((float(stops), _card(curve, way, 0.18 * 2.0 ** min(stops + off, clip), rng)))
    end = readings_of(curve, way, {What.CLIP: 0.18 * 2.0**clip}, rng)[What.CLIP]
    return Made(curve, bits, noise, _card(curve, way, 0.0, rng), bracket, end, clip)


def _card(curve, way, light, rng) -> CodeReading:
    """A grey card of some light, its codes counted."""
    frame = grey_frame(delivered(value_of(curve, light), way, rng), way.bits)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    spot = read_spot(frame, yard, SpotPlace(32, 32, 48))
    return replace(reading_of_spot(spot, yard), tally=tally_of(frame, spot))
