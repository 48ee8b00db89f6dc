"""Coverage and width of the ± of a spot on made frames, printed as a table.

    python -m tests.bench.plus_minus [--seeds N] [--frames N] [--tight] [--kept FILE] ...

Frames are those of `made_frames`. Every patch holds a spot of 16, 48 or 120 pixels, in its middle.

A cell of the table is one curve, depth, codec, noise, blur and edge. For each it says:

cover
    the share of spots whose true stops lie within reading ± half width, of those that have one,
    and the 95 % interval of that share (Wilson 1927): a cell under 0.94 whose interval reaches
    0.95 may be one by the luck of counting.
width
    median half width over the *forced* one. A half width is brought from stops to codes of luma by
    the slope of the curve at the patch, so that patches of different levels can be compared.

The forced width is what an oracle would need that knows the noise, the rounding and the codec: 1.96
standard deviations of the mean of noise with that covariance over the spot (white noise of 1/12
square code added, which rounding makes) and 0.95 of the largest mean error that rounding leaves at
that standard deviation, added in squares; or the 95 % point of the errors that the cell's spots
really have, where that is more: a codec's errors have no formula, and noise that is added after a
curve makes the mean of light read high by half the bend times its variance.
"""

import argparse
import json
import math
from pathlib import Path
from typing import NamedTuple

import numpy as np

from overlays.measure.counting.yardstick import Yardstick, yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.measure.spot.steady import SteadySpot
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, Signal, Subsampling
from tests.bench.made_frames import (
    BLURS,
    CODECS,
    COLUMNS,
    NARROWEST,
    NOISES,
    ROWS,
    SIZES,
    USUAL,
    WEIGHTS,
    Cell,
    Planes,
    light_of,
    made,
    signal_of,
    through,
)

Z95 = 1.959964


def wilson(hits: int, count: int) -> tuple[float, float]:
    """95 % interval of a share that was counted as `hits` of `count`.

    E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209.
    """
    share, square = hits / count, Z95**2
    middle = (share + square / (2.0 * count)) / (1.0 + square / count)
    reach = Z95 * math.sqrt(share * (1.0 - share) / count + square / (4.0 * count**2))
    reach /= 1.0 + square / count
    return middle - reach, middle + reach


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
    lossy, block = CODECS[cell.codec].lossy, CODECS[cell.codec].block
    signal = Signal(
        cell.bits, Range.LIMITED, subsampling=Subsampling.S422, lossy=lossy, block=block
    )
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


class Found(NamedTuple):
    """What one cell came to, of spots of a size, read on so many frames."""

    cell: Cell
    size: int
    frames: int
    spots: int
    cover: float
    width: float

    @property
    def interval(self) -> tuple[float, float]:
        """95 % interval of the cover."""
        return wilson(round(self.cover * self.spots), self.spots)

    @property
    def mark(self) -> str:
        """Under 0.94: "-" by the luck of counting, "!" surely; over twice as wide: "w"."""
        under = "" if self.cover >= 0.94 else "-" if self.interval[1] >= 0.95 else "!"
        return under + ("w" if self.width > 2.0 else "")

    def __str__(self) -> str:
        (curve, bits, codec, noise, blur), (low, high) = self.cell, self.interval
        return (
            f"{codec:9s}{curve:7s}{bits:3d} {noise:4.1f} {blur:4.1f} {self.size:4d} px x "
            f"{self.frames:<2d} {self.cover:.2f} ({low:.2f}-{high:.2f})"
            f" {self.width:5.2f}x {self.mark}"
        )


def summary(found: list[Found]) -> list[str]:
    """A table of one row for each codec and number of frames, in Markdown."""
    rows = [
        "| codec | frames | cells | cover | under 0.94, surely | lowest | width | over 2x | most |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for codec, frames in dict.fromkeys((each.cell.codec, each.frames) for each in found):
        own = [each for each in found if (each.cell.codec, each.frames) == (codec, frames)]
        cover, width = np.array([e.cover for e in own]), np.array([e.width for e in own])
        surely = sum("!" in each.mark for each in own)
        rows.append(
            f"| {codec} | {frames} | {len(own)} | {cover.mean():.3f} | "
            f"{(cover < 0.94).sum()}, {surely} | {cover.min():.2f} | {np.median(width):.2f} x | "
            f"{(width > 2.0).sum()} | {width.max():.1f} x |"
        )
    return rows


def one(cell: Cell, size: int, asked: argparse.Namespace) -> Found | None:
    """One cell and size; None where the encoder takes no picture so narrow."""
    edge = size + size // 6 // 2 * 2 + 2 if asked.tight else size * 3 // 2
    edge += edge % 2
    if edge * COLUMNS < NARROWEST.get(CODECS[cell.codec].encoder, 0):
        return None
    seeds = range(asked.first, asked.first + asked.seeds)
    cover, width, forced, count = run(cell, size, edge, seeds, asked.frames, asked.noise_in)
    return Found(cell, size, asked.frames, count, cover, width / forced)


class Kept:
    """Cells that were gone through before, a line of JSON each; a long run can be broken off."""

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._lines: dict[str, Found] = {}
        if path is not None and path.exists():
            for line in path.read_text().splitlines():
                key, cell, *rest = json.loads(line)
                self._lines[key] = Found(Cell(*cell), *rest)

    def of(self, cell: Cell, size: int, asked: argparse.Namespace) -> Found | None:
        """A cell from before, or gone through now."""
        said = (asked.frames, asked.first, asked.seeds, asked.tight, asked.noise_in)
        key = " ".join(str(each) for each in (*cell, size, *said))
        found = self._lines.get(key) or one(cell, size, asked)
        if found is not None and key not in self._lines and self._path is not None:
            with self._path.open("a") as file:
                file.write(json.dumps([key, *found]) + "\n")
        return found


def asked_for() -> argparse.Namespace:
    """What the command line says."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=4, help="24 spots each")
    parser.add_argument("--first", type=int, default=100, help="seed")
    parser.add_argument("--frames", type=int, default=1)
    parser.add_argument("--tight", action="store_true")
    parser.add_argument("--noise-in", default="luma", choices=("luma", "rgb"))
    parser.add_argument("--codecs", nargs="*", default=list(USUAL))
    parser.add_argument("--curves", nargs="*", default=["S-Log3", "BT.709"])
    parser.add_argument("--bits", nargs="*", type=int, default=[8, 10])
    parser.add_argument("--noises", nargs="*", type=float, default=list(NOISES))
    parser.add_argument("--blurs", nargs="*", type=float, default=list(BLURS))
    parser.add_argument("--sizes", nargs="*", type=int, default=list(SIZES))
    parser.add_argument("--kept", type=Path, help="file of what was gone through before")
    return parser.parse_args()


def main() -> None:
    """Print a line for each cell, and the table."""
    asked = asked_for()
    kept = Kept(asked.kept)
    found: list[Found] = []
    for cell in cells(asked):
        for size in asked.sizes:
            result = kept.of(cell, size, asked)
            if result is not None:
                found.append(result)
                print(result, flush=True)
    print("\n".join(summary(found)))


if __name__ == "__main__":
    main()
