"""How sure a curve can be by its samples, how sure it is said to be, and how far it is off.

    PYTHONPATH=. nice python tests/bench/bounds.py [--seeds N] [--bits 8] [--curve NAME ...]

For cameras with the noise of the pictures of known truth (`tests.made_cameras.seen_camera`) each
step's information is computed from the exact shares of its rounded codes: three channels of normal
noise before the curve, weighed into luma, rounded and cut at the lowest code, with light and noise
unknown both. Its inverse is the bound of Cramer and Rao (Rao 1973, 5g): no unbiased reading of the
samples is surer. Steps together, held by the smoothness that `smooth` supposes, have a bound of
their own (van Trees 1968, Detection, Estimation, and Modulation Theory, 2.4.3): it is what `smooth`
makes of half widths that are the bounds. Beside them stand the ± said, and over the seeds the mean
error, which is bias, and the scatter. A ± is of a bias that is open besides: how normal noise is,
and what is sent of less than no light, no count of samples tells.
"""

import argparse
from dataclasses import dataclass

import numpy as np

from overlays.errors import OverlayError
from overlays.measure.characterise.smooth import smooth
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve, published_curves
from tests.made_cameras import DARKEST, THIRD, WEIGHTS, scene_noise, seen_camera

FINE = 64
"""Points a code at which shares are computed."""
FAR = 7.0
"""Deviations of noise that are looked at."""
Z95 = 1.96
SHIFT = 0.01
"""Of the noise, by which light and noise are moved to tell slopes of shares."""
UP = 4.0
"""Stops above the floor up to which steps are printed."""


@dataclass(frozen=True)
class Bound:
    """Half widths at 95 % in stops of a step by its own samples, and together with the others."""

    alone: np.ndarray
    together: np.ndarray


def codes_per_value(curve: str, bits: int) -> tuple[float, float]:
    """Code of value 0, and codes of 1."""
    step = 2.0 ** (bits - 8)
    full = published_curve(curve).carriage is Carriage.FULL
    return (0.0 if full else 16.0 * step), (255.75 if full else 219.0) * step


def shares(curve: str, bits: int, light: float, noise: float) -> np.ndarray:
    """(codes,) of samples of light, a channel's noise given in light, from the lowest code up."""
    found = published_curve(curve)
    black, span = codes_per_value(curve, bits)
    top = 2**bits - 1
    lit = light + noise * FAR * np.array([-1.0, 1.0])
    low, high = np.asarray(found.encode(lit)) * span
    low, high = np.floor(low) - 1.0, np.ceil(high) + 1.0
    summed, start = np.ones(1), black
    for weight in WEIGHTS:
        edges = np.arange(np.floor(weight * low * FINE), np.ceil(weight * high * FINE) + 1.0)
        reached = np.asarray(found.decode(edges / FINE / weight / span))
        part = np.diff(normal_below((reached - light) / noise))
        summed, start = np.convolve(summed, part), start + (edges[0] + 0.5) / FINE
    place = start + (np.arange(summed.size) + 0.5) / FINE
    step = top // 255
    between = np.arange(step, top - step) + 0.5
    below = np.interp(between, place, np.cumsum(summed), left=0.0, right=1.0)
    return np.diff(np.concatenate([[0.0], below, [1.0]]))


def normal_below(z: np.ndarray) -> np.ndarray:
    """Share of a normal noise below, good to 1e-7 (Abramowitz & Stegun 7.1.26)."""
    x = np.abs(z) / 2.0**0.5
    t = 1.0 / (1.0 + 0.3275911 * x)
    tail = t * (
        0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))
    )
    half = 0.5 * tail * np.exp(-x * x)
    return np.where(z < 0.0, half, 1.0 - half)


def light_pm(curve: str, bits: int, light: float, count: int) -> float:
    """95 % half width of light by so many samples, their noise unknown too."""
    noise = float(scene_noise(light))
    by = SHIFT * noise
    here = shares(curve, bits, light, noise)
    slopes = np.stack(
        [
            shares(curve, bits, light + by, noise) - shares(curve, bits, light - by, noise),
            shares(curve, bits, light, noise + by) - shares(curve, bits, light, noise - by),
        ]
    ) / (2.0 * by)
    kept = here > 1e-6
    told = count * (slopes[:, kept] / here[kept]) @ slopes[:, kept].T
    alone = told[0, 0] - told[0, 1] ** 2 / max(told[1, 1], 1e-30)  # what noise does not explain
    return Z95 / max(float(alone), 1e-12) ** 0.5


def bound_of(curve: str, bits: int, edge: int, stops: np.ndarray) -> Bound:
    """Bounds of a bracket whose cards are spots of so many pixels."""
    light = 0.18 * 2.0**stops
    pm = np.array([light_pm(curve, bits, each, edge**2) for each in light])
    alone = pm / light / np.log(2.0)
    found, (black, span) = published_curve(curve), codes_per_value(curve, bits)
    values = np.asarray(found.encode(light)) + black / span
    rise = np.asarray(found.encode(light * 1.01)) - np.asarray(found.encode(light * 0.99))
    half = alone * rise / np.log2(1.01 / 0.99)
    dark = light_pm(curve, bits, 1e-9, edge**2) * float(
        (found.encode(scene_noise(0.0)) - found.encode(0.0)) / scene_noise(0.0)
    )
    lies = smooth(stops, values, half, (float(found.encode(0.0)) + black / span, dark), code=0.0)
    return Bound(alone, lies.pm_stops)


@dataclass(frozen=True)
class Told:
    """(levels,) of cameras that differ in their noise alone: bound, ± said, bias and scatter."""

    stops: np.ndarray
    bound: Bound
    said: np.ndarray
    bias: np.ndarray
    scatter: np.ndarray
    covered: np.ndarray
    known_from: tuple[float, ...]
    floor: float


def told_of(curve: str, bits: int, edge: int, seeds: int) -> Told | None:
    """What cameras of a curve are said to be; None of one that is refused."""
    errors, halves, known, floors = [], [], [], []
    first = DARKEST + 0.5 * THIRD
    for seed in range(seeds):
        made = seen_camera(curve, bits, edge, seed, first=first)
        try:
            found = made.found()
        except OverlayError:
            return None
        stops = np.array([s for s, _ in made.bracket if s < made.clip_stops - 0.1])
        errors.append(np.asarray(found.fit.curve.value_to_stops(made.values(stops))) - stops)
        halves.append([found.pm_at(each) for each in stops])
        known.append(np.inf if found.known.from_stops is None else found.known.from_stops)
        floors.append(made.floor())
    off, half = np.array(errors), np.array(halves)
    return Told(
        stops,
        bound_of(curve, bits, edge, stops),
        np.median(half, axis=0),
        off.mean(axis=0),
        off.std(axis=0),
        (np.abs(off) <= half).mean(axis=0),
        tuple(known),
        floors[0],
    )


def lines_of(curve: str, told: Told) -> list[str]:
    """A curve's table, from its floor up."""
    low, high = min(told.known_from), max(told.known_from)
    first = (
        f"{curve}: floor {told.floor:+.2f} st; known to 0.03 st from {low:+.2f} to {high:+.2f} st "
        f"({len(told.known_from)} cameras); of all levels above the floor "
        f"{told.covered[told.stops >= told.floor].mean():.3f} are covered"
    )
    out = [
        first,
        "| stops | one step's bound | all steps' bound | said | said / bound | bias | scatter |",
        "|---|---|---|---|---|---|---|",
    ]
    for n in np.flatnonzero((told.stops >= told.floor) & (told.stops <= told.floor + UP)):
        together, said = told.bound.together[n], told.said[n]
        out.append(
            f"| {told.stops[n]:+.2f} | {told.bound.alone[n]:.4f} | {together:.4f} | {said:.4f} | "
            f"{said / together:.1f} | {told.bias[n]:+.4f} | {told.scatter[n]:.4f} |"
        )
    return out


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=8)
    parser.add_argument("--bits", type=int, default=8)
    parser.add_argument("--edge", type=int, default=192)
    parser.add_argument("--curve", nargs="*", default=[each.name for each in published_curves()])
    asked = parser.parse_args()
    for curve in asked.curve:
        told = told_of(curve, asked.bits, asked.edge, asked.seeds)
        found = [f"{curve}: refused"] if told is None else lines_of(curve, told)
        print("\n".join([*found, ""]), flush=True)


if __name__ == "__main__":
    main()
