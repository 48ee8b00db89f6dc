"""Made cameras of the published curves: cap, bracket and clip read, and what is true of them."""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from overlays.measure.characterise.camera_found import CameraFound, characterised
from overlays.measure.characterise.channel_noise import channel_noise
from overlays.measure.counting.yardstick import Yardstick, yardstick
from overlays.measure.feedcheck.readings import CodeReading, What, reading_of_spot, tally_of
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.signal.frame import Frame
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, Signal, Subsampling
from tests.made_feeds import Way, delivered, grey_frame, readings_of, value_of

THIRD = 1.0 / 3.0
DARKEST = -9.0
"""Stops of the darkest step of a bracket."""
ROUNDED = 12.0**-0.5
"""Deviation that rounding to whole codes makes (even spread over one code)."""
SCENE_READ, SCENE_SHOT = 0.0008, 0.0004
"""Noise of the pictures of known truth (truth.json, s04-forest: [read, k]; their README: gaussian
in linear light, variance read^2 + k x), of R', G' and B' each before the curve. Measured between
the two frames of that picture luma scatters by 0.95 to 1.06 of it from -2.7 to +3.1 stops."""
WEIGHTS = np.array([0.2126, 0.7152, 0.0722])  # ITU-R BT.709-6 item 3.2
BLUE, RED = 1.8556, 1.5748  # of its colour differences: 2 (1 - weight)


@dataclass(frozen=True)
class Made:
    """What was read of a made camera.

    `clip_stops` is where it gives out, `noise` the deviation of a sample in codes of 8 bits, after
    the curve; with `in_light` it is that of the pictures of known truth instead.
    """

    curve: str
    bits: int
    noise: float
    cap: CodeReading
    bracket: list[tuple[float, CodeReading]]
    clip: CodeReading
    clip_stops: float
    in_light: bool = False

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
        noise = np.full_like(stops, self.noise)
        if self.in_light:
            light = 0.18 * 2.0**stops
            noise = ratio * scene_noise(light) / light * float(np.sqrt((WEIGHTS**2).sum()))
        return float(stops[np.argmax(ratio > np.hypot(noise, ROUNDED * step))])

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


def scene_noise(light):
    """Deviation of a channel of so much light in the pictures of known truth."""
    return np.sqrt(SCENE_READ**2 + SCENE_SHOT * light)


def of_scenes(light, shape, rng):
    """Channels of light with the noise of the pictures of known truth."""
    return light + rng.normal(size=shape) * scene_noise(light)


def of_electrons(electron, read):
    """A sensor that counts electrons, of so much light each, and adds read noise (EMVA 1288)."""

    def sensed(light, shape, rng):
        counted = electron * rng.poisson(light / electron, size=shape)
        return counted + read * rng.normal(size=shape)

    return sensed


def cut_at_black(light, shape, rng):
    """The noise of the pictures of known truth, of which a camera sends none below black."""
    return np.maximum(of_scenes(light, shape, rng), 0.0)


def with_tails(light, shape, rng):
    """That noise, four times as large on three samples of a hundred."""
    wide = np.where(rng.random(shape) < 0.03, 4.0, 1.0)
    return light + wide * rng.normal(size=shape) * scene_noise(light)


def seen_camera(curve, bits, edge=192, seed=1, first=None, sensor=of_scenes, *, frames=1) -> Made:
    """A camera with the noise of the pictures of known truth, its card a spot of so many pixels.

    Its bracket begins at `first`; without that, anywhere within a step. `sensor` makes channels of
    light, a shape and a generator. What it sends is the mean of so many `frames` behind the curve.
    """
    rng, found = np.random.default_rng([seed, bits]), published_curve(curve)
    clip = min(float(np.log2(found.decode(0.93) / 0.18)), 7.0)
    begins = DARKEST + float(rng.uniform(0.0, THIRD))
    lights = np.arange(begins if first is None else first, clip + 0.5, THIRD)

    def card(stops):
        light, top = 0.18 * 2.0 ** min(stops, clip), 0.18 * 2.0**clip
        return _seen(curve, bits, sensor(light, (3, frames, edge, edge), rng), top, edge)

    bracket = [(float(stops), card(stops)) for stops in lights]
    way = Way(bits, found.carriage, Range.LIMITED, 0.0)
    end = readings_of(curve, way, {What.CLIP: 0.18 * 2.0**clip}, rng)[What.CLIP]
    return Made(curve, bits, 0.0, card(-np.inf), bracket, end, clip, in_light=True)


def read_card(made: Made, stops, read_with, seed, *, frames=1, edge=192) -> SpotReading:
    """A spot on a card of so many stops, by a camera as `seen_camera` has it, through a curve."""
    rng = np.random.default_rng([seed, made.bits, 2])
    lit = of_scenes(0.18 * 2.0**stops, (3, frames, edge, edge), rng)
    frame = _seen_frame(made.curve, made.bits, lit, 0.18 * 2.0**made.clip_stops)
    place = SpotPlace(edge // 2, edge // 2, edge)
    return read_spot(frame, yardstick(frame.signal, read_with), place)


@cache
def _plain_yard(signal: Signal) -> Yardstick:
    return yardstick(signal, published_curve("BT.709"))


def _seen(curve, bits, lit, top, edge) -> CodeReading:
    frame = _seen_frame(curve, bits, lit, top)
    yard = _plain_yard(frame.signal)
    spot = read_spot(frame, yard, SpotPlace(edge // 2, edge // 2, edge))
    channels = channel_noise(frame, spot.place)
    return replace(reading_of_spot(spot, yard), tally=tally_of(frame, spot), channels=channels)


def _seen_frame(curve, bits, lit, top) -> Frame:
    """A card behind a sensor: R', G' and B' of their own noise, in Y'CbCr (BT.709-6 item 3.3)."""
    found, step = published_curve(curve), 2.0 ** (bits - 8)
    rgb = np.asarray(found.encode(np.minimum(lit, top))).mean(axis=1)
    luma = np.tensordot(WEIGHTS, rgb, 1)
    black, span = (0.0, 1023.0) if found.carriage is Carriage.FULL else (64.0, 876.0)
    chroma = [(rgb[n] - luma) / by * span * 896.0 / 876.0 for n, by in ((2, BLUE), (0, RED))]
    codes = np.stack([black + span * luma, *(512.0 + each for each in chroma)]) * step / 4.0
    kind = np.uint8 if bits == 8 else np.uint16
    planes = np.clip(np.rint(codes), step, 2.0**bits - 1.0 - step).astype(kind)
    return Frame(tuple(planes), Signal(bits, Range.LIMITED, subsampling=Subsampling.S444))


def _card(curve, way, light, rng) -> CodeReading:
    """A grey card of some light, its codes counted."""
    frame = grey_frame(delivered(value_of(curve, light), way, rng), way.bits)
    yard = _plain_yard(frame.signal)
    spot = read_spot(frame, yard, SpotPlace(32, 32, 48))
    return replace(reading_of_spot(spot, yard), tally=tally_of(frame, spot))
