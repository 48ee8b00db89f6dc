"""Made cameras of every published curve: how far what is found of them is off, and what it says.

    PYTHONPATH=. python tests/bench/cameras.py [--seeds N] [--first SEED] [--scatter | --seen]
                                               [--sensor NAME] [--curve NAME ...]

With --scatter steps are set a little off, or lit a little otherwise. With --seen noise is there
before the curve, as in the pictures of known truth, and the card a spot of 48 or of 192 pixels;
--sensor makes that noise another: of few electrons, cut off at black, with long tails.

Levels are looked at from the darkest step that was used, or the floor, to a tenth of a stop below
the clip; a floor may be where noise and rounding put it or where the lowest code cuts light off.
"""

import argparse
import itertools
from dataclasses import dataclass, field, replace

import numpy as np

from overlays.errors import OverlayError
from overlays.measure.characterise.camera_found import CameraFound
from overlays.signal.published import published_curves
from tests.made_cameras import (
    SCENE_READ,
    Made,
    cut_at_black,
    made_camera,
    of_electrons,
    of_scenes,
    seen_camera,
    with_tails,
)

SCATTERED = ("V-Log", "BT.709", "HLG", "LogC4", "S-Log3", "Canon Log 3")
CUT_OFF = ("ACEScc", "sRGB", "DaVinci Intermediate")
"""Curves whose black lies at code 0 or below: a limited link cuts off what is there."""
SENSORS = {
    "scenes": of_scenes,
    "electrons": of_electrons(0.0004, SCENE_READ),
    "few-electrons": of_electrons(0.002, SCENE_READ),
    "cut": cut_at_black,
    "tails": with_tails,
}
"""Noise before the curve: 450 electrons at mid-grey, 90 of them, and what their names say."""
NEAR, THIRD = 0.03, 1.0 / 3.0
WAYS = tuple((bits, noise) for bits in (8, 10) for noise in (0.0, 0.1, 0.2, 0.3, 0.6, 1.2))
HEAD = (
    "| bits, noise | cameras | ± covers | ± in the middle | most | off by over 0.03 st | "
    "levels said to 0.03 st: share, of them off by more |"
)


@dataclass
class Found:
    """What is found of cameras on one way.

    `near` is the share of levels within 0.03 stop, `lit` the worst from half a stop over the floor,
    `known` the worst of the levels over which the curve is said to be known, `short` how far above
    the floor these begin, by curve, and `nowhere` the curves that are said to be known nowhere.
    """

    covered: list[float] = field(default_factory=list)
    middle: list[float] = field(default_factory=list)
    worst: list[float] = field(default_factory=list)
    near: list[float] = field(default_factory=list)
    lit: list[float] = field(default_factory=list)
    told: list[float] = field(default_factory=list)
    beyond: list[float] = field(default_factory=list)
    clips: int = 0
    floors: list[float] = field(default_factory=list)
    floors_covered: list[bool] = field(default_factory=list)
    refused: int = 0
    known: list[float] = field(default_factory=list)
    short: dict[str, float] = field(default_factory=dict)
    nowhere: list[str] = field(default_factory=list)

    def add(self, made: Made) -> None:
        """One camera more."""
        try:
            found = made.found()
        except OverlayError:
            self.refused += 1
            return
        lowest = min(stops for stops, _ in found.sure)
        if found.floor_stops is not None:
            lowest = max(lowest, found.floor_stops)
        levels = np.linspace(lowest, made.clip_stops - 0.1, 60)
        off = np.abs(np.asarray(found.fit.curve.value_to_stops(made.values(levels))) - levels)
        sure = np.array([found.pm_at(level) for level in levels])
        self._add_known(made, found, lowest)
        if made.in_light and made.curve in CUT_OFF:
            return
        self.covered.append(float(np.mean(off <= sure)))
        self.middle.append(found.curve_pm_stops)
        self.worst.append(float(np.nanmax(off)))
        self.near.append(float(np.mean(off <= NEAR)))
        self.lit.append(float(np.nanmax(off[levels >= lowest + 0.5])))
        said = sure <= NEAR
        self.told.append(float(np.mean(said)))
        self.beyond.append(float(np.mean(off[said] > NEAR)) if said.any() else 0.0)
        self.clips += abs(found.clip_stops - made.clip_stops) > THIRD
        if found.floor_stops is not None:
            off_floor = min(
                abs(found.floor_stops - made.floor()),
                abs(found.floor_stops - max(made.floor(), made.lowest_carried())),
            )
            self.floors.append(off_floor)
            self.floors_covered.append(off_floor <= (found.floor_pm_stops or 0.0))

    def _add_known(self, made: Made, found: CameraFound, lowest: float) -> None:
        low, high = found.known.from_stops, found.known.to_stops
        if low is None or high is None:
            self.nowhere.append(made.curve)
            return
        levels = np.linspace(low, min(high, made.clip_stops - 0.1), 120)
        off = np.abs(np.asarray(found.fit.curve.value_to_stops(made.values(levels))) - levels)
        self.known.append(float(off.max()))
        self.short[made.curve] = low - lowest


def of_way(bits: int, noise: float, seeds: int) -> Found:
    """Every curve on one way."""
    found = Found()
    for curve in published_curves():
        for seed in range(1, seeds + 1):
            found.add(made_camera(curve.name, bits, noise, seed=seed))
    return found


def of_seen(bits: int, edge: int, seeds: int, first=1, sensor=of_scenes, curves=()) -> Found:
    """Every curve, or those named, with the noise of the pictures of truth or of another sensor.

    Those whose black a limited link cuts off are judged by what they are said to be known over.
    """
    found = Found()
    for curve in curves or [each.name for each in published_curves()]:
        for seed in range(first, first + seeds):
            found.add(seen_camera(curve, bits, edge, seed, sensor=sensor))
    return found


def of_scatter(most: float, seeds: int) -> list[float]:
    """Shares of levels that the ± covers where each step is off by up to so many stops."""
    covered = []
    for curve in SCATTERED:
        made = made_camera(curve, 8, 0.6)
        for seed in range(seeds):
            off = np.random.default_rng(100 + seed).uniform(-most, most, len(made.bracket))
            moved = [(s + by, read) for (s, read), by in zip(made.bracket, off, strict=True)]
            found = replace(made, bracket=moved).found()
            lowest = max(found.darkest, found.floor_stops or -20.0)
            levels = np.linspace(lowest, made.clip_stops, 60)
            read = np.asarray(found.fit.curve.value_to_stops(made.values(levels)))
            sure = np.array([found.pm_at(level) for level in levels])
            covered.append(float(np.mean(np.abs(read - levels) <= sure)))
    return covered


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=2)
    parser.add_argument("--scatter", action="store_true", help="steps that are a little off")
    parser.add_argument("--seen", action="store_true", help="noise of the pictures of truth")
    parser.add_argument("--first", type=int, default=1, help="first seed, with --seen")
    parser.add_argument("--sensor", choices=SENSORS, default="scenes", help="with --seen")
    parser.add_argument("--curve", nargs="*", default=[], help="with --seen")
    asked = parser.parse_args()
    seeds = asked.seeds
    if asked.scatter:
        for most in (0.035, 0.09, 1.0 / 6.0, 0.25):
            found = of_scatter(most, seeds)
            print(
                f"steps off by up to {most:.3f} st, {len(found)} cameras of 8 bits with 0.6 codes: "
                f"± covers {np.mean(found):.3f}, of the worst {min(found):.2f}",
                flush=True,
            )
        return
    print(f"{HEAD} floors: said, off by over 1/3 st, ± covers |")
    print("|---|---|---|---|---|---|---|---|")
    if asked.seen:
        for bits, edge in itertools.product((8, 10), (48, 192)):
            sensor = SENSORS[asked.sensor]
            found = of_seen(bits, edge, seeds, asked.first, sensor, asked.curve)
            print(row(f"{bits}, {edge} px", found), flush=True)
            print(of_known(found), flush=True)
        return
    for bits, noise in WAYS:
        print(row(f"{bits}, {noise}", of_way(bits, noise, seeds)), flush=True)


def of_known(found: Found) -> str:
    """What is claimed to be known, and how far that is off."""
    short = np.array(list(found.short.values()))
    return (
        f"known: {len(found.known)} cameras, off by at most {max(found.known):.3f} st; from the "
        f"floor on {int((short <= 0.01).sum())} curves, most above it {short.max():.1f} st "
        f"({max(found.short, key=lambda each: found.short[each])}); nowhere: "
        f"{', '.join(found.nowhere) or 'none'}"
    )


def row(name: str, found: Found) -> str:
    """A line of the table."""
    over = sum(each > NEAR for each in found.worst)
    poor = sum(each > THIRD for each in found.floors)
    cover = np.mean(found.floors_covered) if found.floors else float("nan")
    return (
        f"| {name} | {len(found.worst)} | {np.mean(found.covered):.3f} | "
        f"{np.median(found.middle):.4f} st | {max(found.worst):.2f} st | {over} | "
        f"{np.mean(found.told):.2f}, {np.mean(found.beyond):.4f} | within 0.03 st "
        f"{np.mean(found.near):.3f} | {len(found.floors)}, {poor}, {cover:.2f} |"
    )


if __name__ == "__main__":
    main()
