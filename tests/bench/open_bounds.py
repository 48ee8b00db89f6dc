"""How sure a curve can be in the dark where nobody says what a camera makes of less than no light.

    PYTHONPATH=. nice python tests/bench/open_bounds.py [--bits 8] [--edge 192] [--curve NAME ...]

`bounds` takes the curve as known but for the light of a step. At the floor noise spans black: half
of what a step's samples show lies where the curve is unknown, below no light and below the darkest
step. Here all of that is open, and what all steps and the cap show of it is used at once: the
information of every sample's code (Rao 1973, 5g), with

- the curve free at every step, and as far below the darkest as noise reaches, held by the
  smoothness that `smooth` supposes and nothing else (van Trees 1968, 2.4.3);
- black free;
- what is sent of less than no light free, between none of it and twice as much: smooth over two
  deviations of the noise;
- noise free: each step's has a deviation of its own, may be as lopsided as that of electrons
  (a third moment of 0 to `SKEW` of its deviation's third power, `SKEW` being noise over light), and
  may have longer or shorter tails than a normal one (an excess of `TAILS`).

With `--sensor-noise` it is normal with a variance straight in light instead, as EMVA 1288 has it:
what could be known if a sensor's noise were just that. The half width that comes out is the least
that an honest ± can be.
"""

import argparse
from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np

from overlays.measure.characterise.known import KNOWN_STOPS
from overlays.measure.characterise.smooth import BENT
from overlays.signal.published import published_curve, published_curves
from tests.bench.bounds import FAR, FINE, Z95, codes_per_value, normal_below
from tests.made_cameras import DARKEST, SCENE_READ, SCENE_SHOT, THIRD, WEIGHTS, seen_camera

LOWEST, HIGHEST = -14.0, -2.0
"""Stops between which the curve is free; the steps of the bracket lie from `DARKEST` on."""
BELOW = SCENE_READ * np.arange(0.5, 4.1, 0.5)
"""Light below none at which what is sent of it is free."""
LENGTH = 2.0 * SCENE_READ
"""Of light over which that is alike."""
SMALL = 0.01
"""Of a parameter's own size, by which it is moved to tell slopes of shares."""
SKEW, TAILS = 1.0, 0.5
"""Deviations of what is supposed of noise before samples are seen: its third moment in that of
electrons without read noise, and its excess: a normal noise in which three samples of a hundred
have twice the deviation has 0.6 (reckoned)."""
LEAST = 1e-7
"""Share below which a code tells nothing."""


@dataclass(frozen=True, eq=False)
class Dark:
    """The dark end of a curve in codes, on light that lies close enough to be straight between.

    `moves` are (parameters, lights) codes by which parameters move it when they change by 1.
    """

    light: np.ndarray
    codes: np.ndarray
    stops: np.ndarray
    moves: np.ndarray
    prior: np.ndarray
    slope: np.ndarray


@lru_cache(8)
def dark_of(curve: str, bits: int) -> Dark:
    """What is free of a curve, and how it is held."""
    found, (black, span) = published_curve(curve), codes_per_value(curve, bits)
    top = 0.18 * 2.0**HIGHEST * 2.0
    lit = np.geomspace(1e-7, top, 4000)
    light = np.concatenate([-lit[::-1], [0.0], lit])
    codes = np.asarray(found.encode(light)) * span + black
    no_light = float(found.encode(0.0)) * span + black
    stops = np.arange(LOWEST, HIGHEST + 0.01, THIRD)
    above = np.maximum(codes - no_light, 0.0)
    at = np.where(light > 0.0, np.log2(np.maximum(light, 1e-12) / 0.18), LOWEST)
    hats = np.stack([np.interp(at, stops, each) for each in np.eye(stops.size)])
    sent = np.minimum(codes - no_light, 0.0)
    below = np.stack([np.interp(-light, BELOW, each) for each in np.eye(BELOW.size)])
    moves = np.concatenate(
        [hats * above * np.log(2.0), np.ones((1, light.size)), below * sent * (light < 0.0)]
    )
    return Dark(light, codes, stops, moves, _prior(stops), _slope(stops, light, above))


def _slope(stops: np.ndarray, light: np.ndarray, above: np.ndarray) -> np.ndarray:
    """(n,) doublings of the curve over black, a stop."""
    level = np.log2(np.interp(0.18 * 2.0**stops, light, np.maximum(above, 1e-12)))
    return np.asarray(np.gradient(level, stops))


def _prior(stops: np.ndarray) -> np.ndarray:
    """Information before any sample: bends of the curve, and what is sent of less than no light."""
    n = stops.size
    bend = np.diff(np.eye(n), 2, axis=0) / THIRD**2 / BENT
    out = np.zeros((n + 1 + BELOW.size,) * 2)
    out[:n, :n] = bend.T @ bend
    alike = np.exp(-np.abs(BELOW[:, None] - BELOW) / LENGTH)
    out[n + 1 :, n + 1 :] = np.linalg.inv(alike)
    return out


@dataclass(frozen=True)
class Noise:
    """Of a step: deviation in light, third moment and excess over those of a normal one."""

    sigma: float
    skew: float = 0.0
    excess: float = 0.0

    def below(self, z: np.ndarray) -> np.ndarray:
        """Share below so many deviations (a Gram-Charlier series; Cramer 1946, 17.6)."""
        height = np.exp(-0.5 * z**2) / np.sqrt(2.0 * np.pi)
        bent = self.skew / 6.0 * (z**2 - 1.0) + self.excess / 24.0 * (z**3 - 3.0 * z)
        return np.asarray(normal_below(z) - height * bent)


def shares_of(light: np.ndarray, codes: np.ndarray, bits: int, at: float, noise: Noise):
    """(codes,) of samples of a light, from the lowest code up, on a curve of so many points."""
    step, top = 2**bits // 256, 2**bits - 1
    # About black, so that the parts of luma add up to a code.
    black = float(np.interp(0.0, light, codes))
    low, high = np.interp(at + noise.sigma * FAR * np.array([-1.0, 1.0]), light, codes - black)
    summed, start = np.ones(1), black
    for weight in WEIGHTS:
        edges = np.arange(np.floor(weight * low * FINE) - 1, np.ceil(weight * high * FINE) + 2)
        reached = np.interp(edges / FINE / weight, codes - black, light)
        part = np.diff(noise.below((reached - at) / noise.sigma))
        summed, start = np.convolve(summed, part), start + (edges[0] + 0.5) / FINE
    place = start + (np.arange(summed.size) + 0.5) / FINE
    between = np.arange(step, top - step) + 0.5
    below = np.interp(between, place, np.cumsum(summed), left=0.0, right=1.0)
    return np.diff(np.concatenate([[0.0], below, [1.0]]))


@lru_cache(64)
def moved_shares(dark: Dark, bits: int, at: float) -> tuple[np.ndarray, np.ndarray]:
    """(codes,) of samples of a light, and (p, codes) by how much what is free moves them.

    What is free of the curve, then a share of the deviation of the noise.
    """
    sigma = float(np.sqrt(SCENE_READ**2 + SCENE_SHOT * at))
    made = partial(shares_of, dark.light, bits=bits, at=at)
    slopes = []
    for move in dark.moves:
        by = SMALL / max(float(np.abs(move[np.abs(dark.light - at) < FAR * sigma]).max()), SMALL)
        up, down = (made(dark.codes + sign * by * move, noise=Noise(sigma)) for sign in (1, -1))
        slopes.append((up - down) / (2.0 * by))
    wider = [made(dark.codes, noise=Noise(sigma * (1.0 + by))) for by in (SMALL, -SMALL)]
    slopes.append((wider[0] - wider[1]) / (2.0 * SMALL))
    return made(dark.codes, noise=Noise(sigma)), np.array(slopes)


def information(dark: Dark, bits: int, at: float, count: int, is_sensor: bool) -> np.ndarray:
    """(p, p) of samples of a light: what is free of the curve, then read noise and shot noise."""
    sigma = float(np.sqrt(SCENE_READ**2 + SCENE_SHOT * at))
    here, (*slopes, by_noise) = moved_shares(dark, bits, at)
    # Of a variance a + b x: by the logarithms of a and of b.
    part = SCENE_READ**2 / sigma**2
    slopes += [0.5 * part * by_noise, 0.5 * (1.0 - part) * by_noise]
    kept = here > LEAST
    told = np.array(slopes)[:, kept]
    weighed = count * told / here[kept]
    if is_sensor:
        return np.asarray(weighed @ told.T)
    made = partial(shares_of, dark.light, bits=bits, at=at)
    shaped = [Noise(sigma, skew=SMALL), Noise(sigma, excess=SMALL)]
    own = [by_noise, *((made(dark.codes, noise=each) - here) / SMALL for each in shaped)]
    return _without_own(told, weighed, np.array(own)[:, kept], count / here[kept], sigma / at)


def _without_own(
    told: np.ndarray, weighed: np.ndarray, own: np.ndarray, worth: np.ndarray, skew: float
) -> np.ndarray:
    """What is told that a step's own noise does not explain."""
    held = (own * worth) @ own.T
    held[1, 1] += 1.0 / (SKEW * min(skew, 1.0)) ** 2
    held[2, 2] += 1.0 / TAILS**2
    both = weighed @ own.T
    out = weighed @ told.T - both @ np.linalg.solve(held, both.T)
    out[-2:], out[:, -2:] = 0.0, 0.0
    return np.asarray(out)


def open_bound(curve: str, bits: int, edge: int, is_sensor: bool = False):
    """(steps,) stops, and the half width at 95 % that nothing said of black leaves, in stops."""
    dark = dark_of(curve, bits)
    total = np.zeros((dark.moves.shape[0] + 2,) * 2)
    total[:-2, :-2] = dark.prior
    total[-2:, -2:] += 1e-6 * np.eye(2)
    steps = np.arange(DARKEST + 0.5 * THIRD, HIGHEST, THIRD)
    for at in (1e-9, *(0.18 * 2.0**steps)):
        total += information(dark, bits, float(at), edge**2, is_sensor)
    spread = np.sqrt(np.diag(np.linalg.inv(total))[: dark.stops.size]) / dark.slope
    return dark.stops, Z95 * np.asarray(spread)


def begins(stops: np.ndarray, half: np.ndarray, floor: float) -> float:
    """The floor, or the stops above it from which on the bound is `KNOWN_STOPS` or less."""
    open_ones = stops[(half > KNOWN_STOPS) & (stops < HIGHEST - 1.0)]
    if not open_ones.size or open_ones.max() < floor:
        return floor
    last = int(np.flatnonzero(stops == open_ones.max())[0])
    part = np.log(half[last] / KNOWN_STOPS) / np.log(half[last] / half[last + 1])
    return max(float(stops[last] + (stops[last + 1] - stops[last]) * part), floor)


def said_of(curve: str, bits: int, edge: int, seeds: int) -> list[tuple[float, float]]:
    """(stops from where on it is said to be known, or infinity; largest error there) of cameras."""
    out = []
    for seed in range(1, seeds + 1):
        made = seen_camera(curve, bits, edge, seed)
        known = made.found().known
        if known.from_stops is None or known.to_stops is None:
            out.append((np.inf, 0.0))
            continue
        levels = np.linspace(known.from_stops, min(known.to_stops, made.clip_stops - 0.1), 120)
        read = np.asarray(made.found().fit.curve.value_to_stops(made.values(levels)))
        out.append((known.from_stops, float(np.abs(read - levels).max())))
    return out


def main() -> None:
    """Print from where on each curve can be known, and from where on it is said to be."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--bits", type=int, default=8)
    parser.add_argument("--edge", type=int, default=192)
    parser.add_argument("--sensor-noise", action="store_true", help="normal, variance straight")
    parser.add_argument("--curve", nargs="*", default=[each.name for each in published_curves()])
    asked = parser.parse_args()
    print("| curve | floor | can be known from | is said to be from | error there, at most |")
    print("|---|---|---|---|---|")
    for curve in asked.curve:
        stops, half = open_bound(curve, asked.bits, asked.edge, asked.sensor_noise)
        floor = seen_camera(curve, asked.bits, 48).floor()
        said = said_of(curve, asked.bits, asked.edge, asked.seeds)
        low, high = min(s for s, _ in said), max(s for s, _ in said)
        print(
            f"| {curve} | {floor:+.2f} | {begins(stops, half, floor):+.2f} | "
            f"{low:+.2f} to {high:+.2f} | {max(off for _, off in said):.3f} |",
            flush=True,
        )


if __name__ == "__main__":
    main()
