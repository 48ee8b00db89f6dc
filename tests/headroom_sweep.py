"""Looks for headroom above 0 and for a ± where a channel of a thing is clipped.

    python -m tests.headroom_sweep [--every N] [--scenes FOLDER] [--kept FILE]

The bench in its options (curve, layout, size, light, noise, exposure) and, where they are, the
pictures of known truth. The bench's truth is its own light before the sensor; that of the pictures
is in their truth.json. Besides the brightest thing, spots are read that are clipped all over, and
on the bench in part: they may have no ±, of the whole or of a clipped channel. Every N-th
combination is looked at (default all 1152: a quarter of an hour of one processor); with --kept a
run that was broken off goes on where it was.
"""

import argparse
import itertools
import json
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.bench_options import bench_options
from firmware.feeds.bench.feed import BenchFeed
from firmware.feeds.bench.kept_scene import Codes
from firmware.feeds.bench.sensor import light_of_codes, under_light
from firmware.feeds.bench.workshop import workshop
from firmware.feeds.opening import open_feed
from firmware.profiles.shelf import load_profile
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.range.range import read_range
from overlays.measure.range.range_reading import RangeReading
from overlays.measure.spot.spot import SpotPlace, SpotReading, default_size, read_spot
from overlays.signal.curves import Family, stops_to_linear
from overlays.signal.frame import Frame

LEAST_SHARE = 0.002
"""Share of the picture that is clipped in one channel, from which on a thing is: ten specks, since
what is clipped may be scattered."""
PROFILES = ("standard", "hlg", "log-s3", "log-v")
LAYOUTS = ("uyvy", "yuv422-10", "nv12")
SIZES = ("640x360", "1920x1080")
LIGHTS = ("", "kelvin=3200", "kelvin=9000", "clip=4")
NOISES = (1, 0)
EXPOSURES = (-4, -2, 0, 1, 2, 4)
WEDGE = ("s03-wedge36", "log-s3")
WHOLE_SHARE = 0.95
"""Of a spot's pixels clipped in one channel, from which on it is clipped all over."""
PART_SHARE = 0.1
"""From which on, up to the other, it is clipped in part: a codec or noise may have a tenth of them
elsewhere, at the edge of what is clipped."""
MOST_SPOTS = 8
"""Read of one picture, and half as many that are clipped in part."""
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Seen:
    """One picture: what it is, which channels are truly clipped on it, and what is read of it.

    Attributes
    ----------
    clipped:
        Channels in which so much of it is clipped that it is a thing.
    found:
        Its range.
    over, part:
        Spots on it that are clipped all over, and in part, as they are read.
    """

    name: str
    clipped: str
    found: RangeReading
    over: tuple[SpotReading, ...] = ()
    part: tuple[SpotReading, ...] = ()

    @property
    def numbers(self) -> tuple[float | None, ...]:
        """All that is said of it in stops."""
        found = self.found
        spots = (*self.over, *self.part)
        of_spots = (n for spot in spots for n in (spot.stops, spot.stops_pm, *spot.rgb_stops))
        room, things = (found.headroom_stops, *found.headroom_rgb), (found.brightest, found.darkest)
        return *room, found.footroom_stops, *(each.stops for each in things), *of_spots

    @property
    def sure_of_clipped(self) -> tuple[SpotReading, ...]:
        """Spots on clipped light that have a ± all the same."""
        return tuple(spot for spot in (*self.over, *self.part) if has_pm(spot))

    @property
    def is_wrong(self) -> bool:
        """Whether headroom or a ± is told that is not there, or a number is none."""
        room = self.found.headroom_stops
        absurd = any(n is not None and not abs(n) <= 20.0 for n in self.numbers)
        above = bool(self.clipped and room is not None and room > 0.0)
        return absurd or above or bool(self.sure_of_clipped)


def has_pm(spot: SpotReading) -> bool:
    """Whether a ± stands beside what a spot reads."""
    return spot.stops_pm is not None or spot.percent_pm is not None


def over_clip(frame: Frame, found: RangeReading, clipped: Bools) -> tuple[SpotReading, ...]:
    """Some spots clipped all over, and the brightest thing if it is; `clipped` (h, w, 3)."""
    assert found.yard is not None
    size, rows, columns = default_size(frame.rows), frame.rows, frame.columns
    whole = [
        SpotPlace(column, row, size)
        for row in range(size, rows - size, size)
        for column in range(size, columns - size, size)
        if is_whole(SpotPlace(column, row, size), clipped)
    ]
    thing = found.brightest
    at = SpotPlace(thing.column, thing.row, thing.size)
    places = [at] if is_whole(at, clipped) else []
    places += whole[:: max(1, -(-len(whole) // MOST_SPOTS))]
    return tuple(read_spot(frame, found.yard, place) for place in places)


def part_clip(frame: Frame, found: RangeReading, clipped: Bools) -> tuple[SpotReading, ...]:
    """Some spots that are clipped in part; `clipped` (h, w, 3)."""
    assert found.yard is not None
    size, rows, columns = default_size(frame.rows), frame.rows, frame.columns
    part = [
        place
        for row in range(size, rows - size, size)
        for column in range(size, columns - size, size)
        if is_part(place := SpotPlace(column, row, size), clipped)
    ]
    few = part[:: max(1, -(-len(part) // (MOST_SPOTS // 2)))]
    return tuple(read_spot(frame, found.yard, place) for place in few)


def is_part(place: SpotPlace, clipped: Bools) -> bool:
    """Whether a spot is clipped in part in one channel, and all over in none."""
    under = clipped[slice(*place.row_span), slice(*place.column_span)]
    return bool(PART_SHARE <= under.mean(axis=(0, 1)).max() < WHOLE_SHARE)


def is_whole(place: SpotPlace, clipped: Bools) -> bool:
    """Whether a spot is clipped all over in one channel."""
    under = clipped[slice(*place.row_span), slice(*place.column_span)]
    return bool((under.mean(axis=(0, 1)) >= WHOLE_SHARE).any())


def ranged(frame: Frame, profile_name: str) -> RangeReading:
    """The range of a frame as a command finds it."""
    profile = load_profile(profile_name)
    yard = profile.yardstick(frame.signal, frame.shift)
    census = take_census(frame, yard, Wants.LEVELS | Wants.CLIPPING | Wants.RGB)
    return read_range(frame, yard, census, profile.speck_percent)


def bench_cases() -> Iterator[tuple[str, str]]:
    """(profile, options) of every combination."""
    for name, layout, size, light, noise, exposure in itertools.product(
        PROFILES, LAYOUTS, SIZES, LIGHTS, NOISES, EXPOSURES
    ):
        options = f"exposure={exposure},cloud=0,signal={layout},size={size},seed=2,noise={noise}"
        yield name, f"{options},{light}" if light else options


@lru_cache(maxsize=len(SIZES))
def drawn(rows: int, columns: int) -> Codes:
    """The bench's scene, drawn once a size: that takes longer than all else about a picture."""
    return workshop(rows, columns)


@lru_cache(maxsize=32)
def on_bench(name: str, text: str) -> Seen:
    """One frame of the bench."""
    profile = load_profile(name)
    feed = BenchFeed(
        text, clock=HandClock(), pace=Pace.STEP, curve=profile.curve, carriage=profile.carriage
    )
    frame = feed.read(1.0)
    assert isinstance(frame, Frame)
    found = ranged(frame, name)
    options = bench_options(text)
    clip = stops_to_linear(options.clip_stops)
    if profile.curve.family is not Family.LOG:  # the bench ends those at 100 %
        yard = profile.yardstick(frame.signal, frame.shift)
        clip = min(clip, float(yard.carried.light(1.0)))
    scene = under_light(drawn(options.rows, options.columns), options)
    is_clipped = (light_of_codes() * 2.0**options.exposure_stops >= clip)[scene]
    shares = is_clipped.mean(axis=(0, 1))
    clipped = "".join(n for n, share in zip("RGB", shares, strict=True) if share >= LEAST_SHARE)
    over, part = over_clip(frame, found, is_clipped), part_clip(frame, found, is_clipped)
    feed.release(frame)
    feed.close()
    return Seen(f"{name} bench:{text}", clipped, found, over, part)


def on_pictures(folder: Path) -> Iterator[Seen]:
    """The pictures of known truth whose patches say what is clipped."""
    truth: dict[str, Any] = json.loads((folder / "truth.json").read_text())
    for clip in truth["clips"]:
        patches = clip.get("patches", [])
        raw = np.array([p["raw_clipped_rggb"] for p in patches if "raw_clipped_rggb" in p])
        if not raw.size or not clip["name"].startswith(WEDGE[0]):
            continue
        red, green, other, blue = (bool((raw[:, n] > 0.5).any()) for n in range(4))
        clipped = "R" * red + "G" * (green and other) + "B" * blue
        for path in sorted(folder.glob(f"{clip['name']}-*")):
            feed = open_feed(str(path), clock=HandClock(), pace=Pace.STEP)
            frame = feed.read(1.0)
            assert isinstance(frame, Frame)
            found = ranged(frame, WEDGE[1])
            yield Seen(path.name, clipped, found, _patches_over(frame, found, patches))
            feed.close()


def _patches_over(
    frame: Frame, found: RangeReading, patches: list[dict[str, Any]]
) -> tuple[SpotReading, ...]:
    """Spots within the patches that are clipped whole in a channel."""
    assert found.yard is not None
    whole = [p for p in patches if max(p.get("raw_clipped_rggb", [0.0])) >= WHOLE_SHARE]
    sizes = [min(p["w"], p["h"]) // 2 * 2 for p in whole]
    places = [
        SpotPlace(p["x"] + p["w"] // 2, p["y"] + p["h"] // 2, size)
        for p, size in zip(whole, sizes, strict=True)
    ]
    return tuple(read_spot(frame, found.yard, place) for place in places)


class Tally(NamedTuple):
    """One picture, counted: what is wrong with it, and what it is one of."""

    wrong: str
    is_clipped: bool
    is_unknown: bool
    spots: int
    doubted: int
    sure: int
    part: int


def tally(seen: Seen) -> Tally:
    """What a picture counts as."""
    room = seen.found.headroom_stops
    said = f"{seen.name}: clipped in {seen.clipped or 'nothing'}, headroom {room}"
    for spot in seen.sure_of_clipped:
        said += f"; clipped at {spot.place}, and {spot.stops} ± {spot.stops_pm}"
    unknown = bool(seen.clipped) and (room is None or not math.isfinite(room))
    doubted = sum(bool(spot.may_clip) and not spot.hides_light for spot in seen.over)
    wrong, sure = said if seen.is_wrong else "", len(seen.sure_of_clipped)
    return Tally(wrong, bool(seen.clipped), unknown, len(seen.over), doubted, sure, len(seen.part))


def tallies(cases: list[tuple[str, str]], kept: Path | None) -> Iterator[Tally]:
    """Every combination, those of an earlier run out of its file."""
    lines = kept.read_text().splitlines() if kept is not None and kept.exists() else []
    known = {tuple(case): Tally(*said) for case, said in map(json.loads, lines)}
    for case in cases:
        found = known.get(case)
        if found is None:
            found = tally(on_bench(*case))
            if kept is not None:
                with kept.open("a") as file:
                    file.write(json.dumps([case, found]) + "\n")
        yield found


def main() -> None:
    """Print what is wrong, and how many pictures were looked at."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--scenes", type=Path)
    parser.add_argument("--kept", type=Path, help="file of what was looked at before")
    asked = parser.parse_args()
    found = list(tallies(list(bench_cases())[:: asked.every], asked.kept))
    found += [tally(seen) for seen in on_pictures(asked.scenes)] if asked.scenes else []
    for each in found:
        if each.wrong:
            print(each.wrong)
    print(
        f"{sum(bool(each.wrong) for each in found)} wrong of {len(found)} pictures, "
        f"{sum(each.is_clipped for each in found)} of them clipped, "
        f"{sum(each.is_unknown for each in found)} of those unknown; "
        f"{sum(each.spots for each in found)} spots clipped all over, "
        f"{sum(each.doubted for each in found)} of them said to be perhaps so, "
        f"{sum(each.part for each in found)} in part; "
        f"{sum(each.sure for each in found)} of all these with a ±"
    )


if __name__ == "__main__":
    main()
