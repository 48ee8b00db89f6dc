"""Coverage and width of the ± of a spot on made frames, printed as a table.

    python tests/bench/plus_minus.py [--seeds N] [--frames N] [--tight] [--noise-in rgb] ...

Frames are made by NumPy from light that is known, colour-science encodes the curves (an encoder
that is not the project's), PyAV's encoders compress, and their pictures are read back here, without
the project's feeds. Every patch holds spots of 16, 48 and 120 pixels about its centre.

A cell of the table is one curve, depth, codec, noise, blur and edge. For each it says:

cover
    the share of spots whose true stops lie within reading ± half width, of those that have one.
width
    median half width over the *forced* one. A half width is brought from stops to codes of luma by
    the slope of the curve at the patch, so that patches of different levels can be compared.

The forced width is what an oracle would need that knows the covariance of the noise, the rounding
and the codec: 1.96 standard deviations of the mean of noise with that covariance over the spot
(white noise of 1/12 square code added, which rounding makes) and 0.95 of the largest mean error
that rounding leaves at that standard deviation, added in squares; or the 95 % point of the errors
that the cell's spots really have, where that is more: a codec's errors have no formula, and noise
that is added after a curve makes the mean of light read high by half the bend times its variance.
"""

import argparse
import io
import math
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

import numba  # noqa: F401 - colour-science puts a stand-in for scipy in the way of numba

# isort: split
import av
import colour
import numpy as np

from overlays.measure.counting.yardstick import Yardstick, yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.measure.spot.steady import SteadySpot
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, Signal, Subsampling

WEIGHTS = np.array([0.2126, 0.7152, 0.0722])  # ITU-R BT.709-6 item 3.2
CURVES = {
    "S-Log3": (colour.models.log_encoding_SLog3, 7.4),
    "V-Log": (colour.models.log_encoding_VLog, 7.7),
    "BT.709": (colour.models.oetf_BT709, 2.3),
}
"""Encoder, and the stop up to which patches are drawn: under the clip with noise and all."""
SIZES = (16, 48, 120)
NOISES = (0.0, 0.1, 0.2, 0.4, 0.8, 1.2, 2.0, 3.0)
BLURS = (0.0, 0.5, 1.0, 2.0)
ROWS, COLUMNS = 4, 6
Planes = list[np.ndarray]


@dataclass(frozen=True)
class Codec:
    """An encoder of PyAV: its name, options, depth and pixel format (4:2:2)."""

    encoder: str
    options: tuple[tuple[str, str], ...] = ()
    bits: tuple[int, ...] = (8, 10)
    full: bool = False


CODECS = {
    "none": Codec(""),
    "h264": Codec("libx264", (("qp", "18"), ("g", "1"), ("preset", "fast"))),
    "hevc": Codec(
        "libx265",
        (("x265-params", "qp=18:keyint=1:log-level=none:pools=1"), ("preset", "fast")),
    ),
    "prores": Codec("prores_ks", (("profile", "3"), ("vendor", "apl0")), (10,)),
    "mjpeg": Codec("mjpeg", (("qmin", "3"), ("qmax", "3")), (8,)),
}


class Cell(NamedTuple):
    """One cell of the table but for the edge of the spot."""

    curve: str
    bits: int
    codec: str
    noise: float
    blur: float


def blurred(noise: np.ndarray, sigma: float) -> np.ndarray:
    """Noise through a gaussian of `sigma` pixels, of unit variance afterwards."""
    if sigma == 0.0:
        return noise
    at = np.arange(-int(6 * sigma) - 2, int(6 * sigma) + 3)
    kernel = np.exp(-0.5 * (at / sigma) ** 2)
    kernel /= math.sqrt(float((kernel**2).sum()))
    for axis in (0, 1):
        moved = np.moveaxis(noise, axis, -1)
        spectrum = np.fft.rfft(moved) * np.fft.rfft(kernel, moved.shape[-1])
        noise = np.moveaxis(np.fft.irfft(spectrum, moved.shape[-1]), -1, axis)
    return noise


def light_of(curve: str, count: int, rng: np.random.Generator) -> np.ndarray:
    """(count, 3) linear R, G, B from -5.5 stops to under the clip, half of them neutral."""
    top = CURVES[curve][1]
    stops = rng.uniform(-5.5, top, count)
    tint = rng.uniform(0.4, 1.0, (count, 3))
    tint[: count // 2] = 1.0
    light = 0.18 * 2.0 ** stops[:, None] * tint / (tint @ WEIGHTS)[:, None]
    light *= np.minimum(1.0, 0.18 * 2.0**top / light.max(axis=1))[:, None]
    return rng.permutation(light)


def signal_of(curve: str, light: np.ndarray) -> np.ndarray:
    """Nominal R', G', B' of limited range: a log curve lies on the whole code scale."""
    value = CURVES[curve][0](light)
    return value if curve == "BT.709" else (1023.0 * value - 64.0) / 876.0


def to_codes(nominal: np.ndarray, bits: int) -> np.ndarray:
    """Y', Cb, Cr codes, not rounded, by colour-science."""
    top = 2**bits - 1
    coded = colour.RGB_to_YCbCr(
        nominal,
        K=WEIGHTS[[0, 2]],
        in_bits=bits,
        in_legal=False,
        in_int=False,
        out_bits=bits,
        out_legal=True,
        out_int=False,
    )
    return np.asarray(coded) * top


def made(
    cell: Cell, light: np.ndarray, edge: int, noise_in: str, rng: np.random.Generator
) -> Planes:
    """Rounded planes of a frame of `ROWS` x `COLUMNS` patches of `edge` pixels, 4:2:2."""
    shape = (ROWS * edge, COLUMNS * edge)
    flat = signal_of(cell.curve, light)
    picture = to_codes(flat, cell.bits).reshape(ROWS, COLUMNS, 3).repeat(edge, 0).repeat(edge, 1)
    sigma = cell.noise * 2 ** (cell.bits - 8)
    noise = np.stack([blurred(rng.normal(size=shape), cell.blur) for _ in range(3)], -1) * sigma
    if noise_in == "rgb":  # R', G', B' with the noise each, in codes of luma
        kr, _, kb = WEIGHTS
        luma = noise @ WEIGHTS
        scale = 224.0 / 219.0
        cb = (noise[..., 2] - luma) / (2.0 - 2.0 * kb) * scale
        cr = (noise[..., 0] - luma) / (2.0 - 2.0 * kr) * scale
        noise = np.stack([luma, cb, cr], -1)
    elif noise_in == "luma":
        noise[..., 1:] = 0.0
    picture = picture + noise
    chroma = 0.5 * (picture[:, ::2, 1:] + picture[:, 1::2, 1:])  # as a camera's filter would
    planes = (picture[..., 0], chroma[..., 0], chroma[..., 1])
    kind = np.uint8 if cell.bits == 8 else np.uint16
    return [np.clip(np.rint(p), 0, 2**cell.bits - 1).astype(kind) for p in planes]


def through(codec: Codec, frames: list[Planes], bits: int) -> list[Planes]:
    """The frames encoded and decoded again, by PyAV alone."""
    if not codec.encoder:
        return frames
    rows, columns = frames[0][0].shape
    name = "yuv422p" if bits == 8 else "yuv422p10le"
    if codec.encoder == "mjpeg":
        name = "yuvj422p"
    buffer = io.BytesIO()
    with av.open(buffer, "w", format="matroska") as out:
        stream = out.add_stream(codec.encoder, rate=25, options=dict(codec.options))
        stream.width, stream.height, stream.pix_fmt = columns, rows, name
        stream.codec_context.time_base = Fraction(1, 25)
        for number, planes in enumerate(frames):
            picture = av.VideoFrame(columns, rows, name)
            for plane, source in zip(picture.planes, planes, strict=True):
                width = plane.line_size // source.itemsize
                lines = np.zeros((source.shape[0], width), source.dtype)
                lines[:, : source.shape[1]] = source
                plane.update(lines.tobytes())
            picture.pts = number
            out.mux(stream.encode(picture))
        out.mux(stream.encode(None))
    buffer.seek(0)
    back = []
    with av.open(buffer, "r") as held:
        for picture in held.decode(video=0):
            planes = []
            for plane, source in zip(picture.planes, frames[0], strict=True):
                lines = np.frombuffer(plane, source.dtype).reshape(
                    -1, plane.line_size // source.itemsize
                )
                planes.append(lines[: source.shape[0], : source.shape[1]].copy())
            back.append(planes)
    return back


def mean_variance(edge: int, blur: float) -> float:
    """Variance of the mean of edge x edge samples of blurred noise of unit variance.

    A gaussian of `blur` pixels gives an autocovariance exp(-d^2 / (4 blur^2)), here as sampled.
    """
    if blur == 0.0:
        return 1.0 / edge**2
    at = np.arange(-int(6 * blur) - 2, int(6 * blur) + 3)
    kernel = np.exp(-0.5 * (at / blur) ** 2)
    cov = np.correlate(kernel, kernel, "full")
    cov /= cov.max()
    lags = np.arange(cov.size) - cov.size // 2
    weight = np.maximum(0.0, edge - np.abs(lags)) / edge**2
    return float((weight * cov).sum()) ** 2


def rounding_left(sigma: float) -> float:
    """Largest error of the mean that rounding leaves under normal noise (Fourier series)."""
    if sigma == 0.0:
        return 0.5
    k = np.arange(1, 60)
    return float(min(0.5, (np.exp(-2.0 * (math.pi * k * sigma) ** 2) / (math.pi * k)).sum()))


def forced_codes(cell: Cell, edge: int, noise_in: str) -> float:
    """Half width in luma codes that noise and rounding force on a neutral."""
    sigma = cell.noise * 2 ** (cell.bits - 8)
    if noise_in == "rgb":
        sigma *= float(np.sqrt((WEIGHTS**2).sum()))
    noise = sigma**2 * mean_variance(edge, cell.blur)
    dither = 1.0 / 12.0 / edge**2 if sigma > 0.3 else 0.0
    return math.sqrt(1.96**2 * (noise + dither) + (0.95 * rounding_left(sigma)) ** 2)


class Result(NamedTuple):
    """One spot: error and half width (nan where there is none) in luma codes, and in stops."""

    error: float
    half: float
    stops: float


def read_all(
    cell: Cell, frames: list[Planes], light: np.ndarray, edge: int, size: int
) -> list[Result]:
    """Every spot of one edge on the first frame, or, of several, after the last."""
    lossy = cell.codec != "none"
    signal = Signal(cell.bits, Range.LIMITED, subsampling=Subsampling.S422, lossy=lossy)
    yard: Yardstick = yardstick(signal, published_curve(cell.curve))
    true = np.log2(light @ WEIGHTS / 0.18)
    h = 1e-4
    # luma codes a stop for light that grows in all channels alike
    slope = (
        ((signal_of(cell.curve, light * 2**h) - signal_of(cell.curve, light)) @ WEIGHTS / h)
        * 219.0
        * 2 ** (cell.bits - 8)
    )
    out = []
    for index in range(ROWS * COLUMNS):
        row, column = divmod(index, COLUMNS)
        place = SpotPlace(column * edge + edge // 2, row * edge + edge // 2, size)
        reading = steady(frames, signal, yard, place)
        error = math.nan if reading[0] is None else (reading[0] - true[index]) * slope[index]
        half = math.nan if reading[1] is None else reading[1] * slope[index]
        out.append(Result(error, half, true[index]))
    return out


def steady(
    frames: list[Planes], signal: Signal, yard: Yardstick, place: SpotPlace
) -> tuple[float | None, float | None]:
    """(stops, ±) of a spot on the last frame, with what the frames before it say of the ±."""
    memory = SteadySpot(yard)
    for number, planes in enumerate(frames):
        spot = read_spot(Frame(tuple(planes), signal, number=number), yard, place)
        if len(frames) > 1:
            spot = memory.add(spot)
    return spot.stops, spot.stops_pm


def run(
    cell: Cell, size: int, edge: int, seeds: range, frames: int, noise_in: str
) -> tuple[float, float, float, int]:
    """(cover, median width, forced width, spots) of a cell."""
    results: list[Result] = []
    for seed in seeds:
        rng = np.random.default_rng([seed, size, cell.bits, int(cell.noise * 100)])
        light = light_of(cell.curve, ROWS * COLUMNS, rng)
        planes = [made(cell, light, edge, noise_in, rng) for _ in range(frames)]
        decoded = through(CODECS[cell.codec], planes, cell.bits)
        results += read_all(cell, decoded, light, edge, size)
    error = np.abs([r.error for r in results])
    half = np.array([r.half for r in results])
    told = ~np.isnan(half)
    cover = float(np.mean(error[told] <= half[told]))
    forced = forced_codes(cell, size, noise_in)
    forced = max(forced, float(np.nanquantile(error, 0.95)))
    return cover, float(np.nanmedian(half)), forced, len(results)


def cells(asked: argparse.Namespace) -> list[Cell]:
    """The cells that were asked for."""
    return [
        Cell(curve, bits, codec, noise, blur)
        for codec in asked.codecs
        for curve in asked.curves
        for bits in asked.bits
        if bits in CODECS[codec].bits
        for noise in asked.noises
        for blur in asked.blurs
        if noise > 0.0 or blur == 0.0
    ]


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=2)
    parser.add_argument("--first", type=int, default=100, help="seed")
    parser.add_argument("--frames", type=int, default=1)
    parser.add_argument("--tight", action="store_true")
    parser.add_argument("--noise-in", default="luma", choices=("luma", "rgb"))
    parser.add_argument("--codecs", nargs="*", default=list(CODECS))
    parser.add_argument("--curves", nargs="*", default=["S-Log3", "BT.709"])
    parser.add_argument("--bits", nargs="*", type=int, default=[8, 10])
    parser.add_argument("--noises", nargs="*", type=float, default=list(NOISES))
    parser.add_argument("--blurs", nargs="*", type=float, default=list(BLURS))
    parser.add_argument("--sizes", nargs="*", type=int, default=list(SIZES))
    asked = parser.parse_args()
    bad = total = 0
    for cell in cells(asked):
        words = []
        for size in asked.sizes:
            edge = size + size // 6 // 2 * 2 + 2 if asked.tight else size * 3 // 2
            edge += edge % 2
            seeds = range(asked.first, asked.first + asked.seeds)
            cover, width, forced, _ = run(cell, size, edge, seeds, asked.frames, asked.noise_in)
            total += 1
            poor = cover < 0.94 or width > 2.0 * forced
            bad += poor
            words.append(f"{size:4d}: {cover:.2f} {width / forced:5.2f}x{'!' if poor else ' '}")
        print(
            f"{cell.codec:7s}{cell.curve:7s}{cell.bits:3d} {cell.noise:4.1f} {cell.blur:4.1f}  "
            + "  ".join(words),
            flush=True,
        )
    print(f"{bad} of {total} cells under 0.94 or wider than twice the forced width")


if __name__ == "__main__":
    main()
