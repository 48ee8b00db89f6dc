"""Lens, sensor and curve of the bench: light codes to samples, and the truth of a spot.

The scene is kept as light codes: logarithms of linear light in steps of 1/2048 stop. A cloud is
then an integer that is taken off, exposure, balance and curve are one table, and the truth of a
spot comes from the very numbers that its samples come from.
"""

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
import numpy.typing as npt

from firmware.feeds.bench.bench_kernels import WHEEL, Cloud, Encoder, Output, Plate, emit, render
from firmware.feeds.bench.bench_options import BenchOptions
from firmware.feeds.bench.light import camera_matrix, gamut_matrix
from overlays.measure.counting.clip import picture_codes
from overlays.signal.carried import CarriedCurve
from overlays.signal.curves import MID_GREY, Family, stops_to_linear
from overlays.signal.levels import encoding, luma_scale

STEPS_A_STOP = 2048
LIGHT_CODES = 65536
LOWEST_STOPS = -14.5
"""Of code 0, which stands for no light as well. Mid-grey falls on a code without rounding."""

READ_NOISE = 0.0004
"""Of the sensor in the dark, as linear light; invented, as is the next."""
PHOTON_NOISE = 2.0e-5
"""Variance of linear light per unit of light: 1 % of mid-grey."""

CLOUD_STOPS = 0.3
CLOUD_PERIOD_S = 60.0
CLOUD_EDGE = (0.20, 0.36)
"""The share of the width up to which a cloud dims fully, and from which not at all."""

NOISE_ENTRIES = 65536
NOISE_STEP = 4000.0
"""Entries of the noise table to one standard deviation; eight of them fit 16 bits."""


def light_codes(linear: npt.NDArray[np.float32]) -> npt.NDArray[np.uint16]:
    """Linear light to light codes, any shape; the same on every processor (see `canvas.sine`)."""
    lowest = np.float32(stops_to_linear(LOWEST_STOPS))
    stops = np.log2(np.maximum(linear, lowest) / lowest, dtype=np.float64)
    steps = np.minimum(np.rint(stops * STEPS_A_STOP), LIGHT_CODES - 1)
    return np.asarray(steps, dtype=np.uint16)


@cache
def light_of_codes() -> npt.NDArray[np.float64]:
    """Linear light of every light code, (65536,); kept, so nobody may write to it."""
    light = stops_to_linear(np.arange(LIGHT_CODES) / STEPS_A_STOP + LOWEST_STOPS)
    light.flags.writeable = False
    return light


ROWS_AT_A_TIME = 60


def under_light(scene: npt.NDArray[np.uint16], options: BenchOptions) -> npt.NDArray[np.uint16]:
    """The scene's light codes as the camera sees them: its light, its balance and its gamut.

    Where the three leave the colours as they are, the scene itself; else new codes, (rows, columns,
    3). Light that is negative in the camera's primaries becomes no light.
    """
    o = options
    matrix = gamut_matrix(o.gamut) @ camera_matrix(
        o.kelvin, o.tint_thousandths, o.dial_kelvin, o.dial_tint_thousandths
    )
    if np.allclose(matrix, np.eye(3), rtol=0.0, atol=1e-9):
        return scene
    light, weights = light_of_codes().astype(np.float32), matrix.astype(np.float32)
    out = np.empty_like(scene)
    for top in range(0, len(scene), ROWS_AT_A_TIME):
        rows = slice(top, top + ROWS_AT_A_TIME)
        red, green, blue = (light[scene[rows, :, k]] for k in range(3))
        for k, (by_red, by_green, by_blue) in enumerate(weights):
            # One sum after the other: a library's product of matrices adds as its processor likes.
            out[rows, :, k] = light_codes(red * by_red + green * by_green + blue * by_blue)
    return out


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """By light code, for each component: light before the sensor, level and noise behind it.

    All are kept. Level and noise go to loops, for which an array that cannot be written is of
    another kind, to be compiled for anew; light goes to none, and cannot be written.
    """

    light: npt.NDArray[np.float64]
    nominal: npt.NDArray[np.float32]
    sigma: npt.NDArray[np.float32]


KEPT_TABLES = 4
"""Of a megabyte each, of the cameras that were made last."""


def sensor_tables(options: BenchOptions, carried: CarriedCurve) -> Tables:
    """The tables of a camera, each (65536,).

    Light is clipped where the sensor clips; standard gamma and HDR curves end at 100 % besides.
    Noise goes through the slope of the curve, and there is none where the light is clipped.
    """
    return _tables(options.exposure_stops, options.clip_stops, options.noise, carried)


@lru_cache(KEPT_TABLES)
def _tables(exposure: float, clip_stops: float, by: float, carried: CarriedCurve) -> Tables:
    light = light_of_codes() * 2.0**exposure
    light.flags.writeable = False
    clip = stops_to_linear(clip_stops)
    if carried.curve.family is not Family.LOG:
        clip = min(clip, carried.light(1.0))
    seen = np.minimum(light, clip)
    nominal = carried.nominal(seen)
    noise = by * np.sqrt(READ_NOISE**2 + PHOTON_NOISE * seen)
    # The secant over one deviation to either side: a curve may be steep without end at no light.
    spread = (carried.nominal(seen + noise) - carried.nominal(np.maximum(seen - noise, 0.0))) / 2.0
    sigma = np.where(light < clip, spread, 0.0)
    return Tables(light, nominal.astype(np.float32), sigma.astype(np.float32))


def cloud_of(options: BenchOptions) -> Cloud:
    """A soft-edged cloud that drifts to the right over the left of the picture."""
    turn = 2.0 * np.pi * np.arange(WHEEL) / WHEEL
    shape = (1.0 - np.cos(turn) + 0.35 * (1.0 - np.cos(3.0 * turn + 0.8))) / 2.7
    x = (np.arange(options.columns) + 0.5) / options.columns
    y = (np.arange(options.rows) + 0.5) / options.rows
    start, end = CLOUD_EDGE
    ramp = np.clip((end - x) / (end - start), 0.0, 1.0)
    return Cloud(
        wheel=np.rint(CLOUD_STOPS * options.cloud * STEPS_A_STOP * shape).astype(np.int32),
        along=np.rint(-WHEEL * 0.55 * x).astype(np.int32),
        down=np.rint(WHEEL * 0.15 * y).astype(np.int32),
        weight=np.rint(WHEEL * ramp * ramp * (3.0 - 2.0 * ramp)).astype(np.int32),
    )


class Sensor:
    """Holds the base (samples without noise) of one scene and emits buffers from it.

    Parameters
    ----------
    scene:
        (rows, columns, 3) uint16 light codes of linear R, G, B.
    options:
        What was asked of the bench.
    carried:
        Its curve as carried.
    steps:
        (3, 3) sample steps of the buffer's planes, see `bench_layout.sample_steps`.
    samples:
        Of a buffer.
    """

    def __init__(
        self,
        scene: npt.NDArray[np.uint16],
        options: BenchOptions,
        carried: CarriedCurve,
        steps: npt.NDArray[np.int64],
        samples: int,
    ) -> None:
        signal = options.signal
        self._scene, self._signal = scene, signal
        self._tables = sensor_tables(options, carried)
        self._cloud = cloud_of(options)
        self._low, self._high = picture_codes(signal)
        fine = float(1 << (16 - signal.bits))
        way = encoding(signal)
        # The largest noise of a plane where all three components have their largest: no gain
        # step is lost to a range that never occurs, and none clips.
        largest = float(self._tables.sigma.max()) * float(
            np.sqrt(((way.matrix * fine) ** 2).sum(axis=1)).max()
        )
        gain_scale = 255.0 / largest if largest > 0.0 else 0.0
        self._encoder = Encoder(
            self._tables.nominal,
            self._tables.sigma,
            (way.matrix * fine).astype(np.float32),
            (way.zero * fine).astype(np.float32),
            float(gain_scale),
            steps,
            signal.subsampling.rows,
            signal.subsampling.columns,
        )
        shift = options.layout.shift(signal.bits)
        self._output = Output(
            np.float32(1.0 / fine),
            np.float32(0.0 if largest == 0.0 else 1.0 / (fine * gain_scale * NOISE_STEP)),
            np.float32(self._low),
            np.float32(self._high),
            np.float32(1 << shift),
        )
        self._plate = Plate(np.zeros(samples, np.uint16), np.zeros(samples, np.uint8))
        self._stretches = scene.shape[0]
        self._random = np.random.default_rng(options.seed)
        stretch = -(-samples // self._stretches)
        table = self._random.standard_normal(NOISE_ENTRIES) * NOISE_STEP
        table = np.clip(np.rint(table), -32767, 32767).astype(np.int16)
        self._noise = np.concatenate([table, np.resize(table, stretch)])

    def lit(self, steps: int) -> None:
        """Take light for so many steps of its codes more from now on; no light stays none."""
        codes = np.clip(np.arange(LIGHT_CODES) + steps, 0, LIGHT_CODES - 1)
        codes[0] = 0
        tables = self._tables
        self._encoder = self._encoder._replace(
            nominal=tables.nominal[codes], sigma=tables.sigma[codes]
        )

    def render(self, top: int, bottom: int, phase: int) -> None:
        """Encode rows top..bottom anew, all columns, with the cloud at a phase of its wheel."""
        window = (top, min(bottom, self._scene.shape[0]), self._scene.shape[1])
        render(self._scene, self._encoder, self._cloud, phase, window, self._plate)

    def cloud_over(self, top: int, bottom: int, phase: int) -> None:
        """The same for the columns that a cloud reaches only."""
        right = int(np.count_nonzero(self._cloud.weight))
        right += right % 2  # whole chroma samples
        window = (top, min(bottom, self._scene.shape[0]), min(right, self._scene.shape[1]))
        render(self._scene, self._encoder, self._cloud, phase, window, self._plate)

    def emit(self, out: npt.NDArray[np.uint8] | npt.NDArray[np.uint16]) -> None:
        """Fill a buffer with the next frame: base plus fresh noise."""
        starts = self._random.integers(0, NOISE_ENTRIES, (self._stretches,))
        emit(out, self._plate, self._noise, starts, self._output)

    def truth(
        self, rows: slice, columns: slice, phases: npt.NDArray[np.int64], steps: int = 0
    ) -> tuple[float, float]:
        """(percent, stops) of a part of the picture with the cloud at a phase for each row.

        Light is so many steps of its codes more.

        Percent is the mean Y' level without noise, as far as legal codes carry it; stops are those
        of the mean luminance before noise and clipping, with the signal matrix's weights.
        """
        cloud = self._cloud
        turn = cloud.along[None, columns] + cloud.down[rows, None] + phases[:, None]
        dim = cloud.wheel[turn & (WHEEL - 1)] * cloud.weight[None, columns] // WHEEL
        codes = np.maximum(self._scene[rows, columns].astype(np.int64) - dim[:, :, None], 0)
        codes = np.where(codes > 0, np.clip(codes + steps, 0, LIGHT_CODES - 1), 0)
        weights = self._signal.matrix.weights
        light = sum(w * self._tables.light[codes[..., n]] for n, w in enumerate(weights))
        luma = sum(
            w * self._tables.nominal[codes[..., n]].astype(np.float64)
            for n, w in enumerate(weights)
        )
        scale = luma_scale(self._signal)
        legal = np.clip(
            luma, (self._low - scale.zero) / scale.span, (self._high - scale.zero) / scale.span
        )
        return 100.0 * float(np.mean(legal)), float(np.log2(np.mean(light) / MID_GREY))
