"""Made series of readings of one pin, the same on every machine and with every library."""

import math
import random
from dataclasses import dataclass

from overlays.measure.watch.change import Event, Tolerance
from overlays.measure.watch.follower import Follower

RATES = (5.0, 12.0, 25.0, 50.0)


@dataclass(frozen=True)
class Series:
    """Times in ns, and (level, red, blue) in stops or None."""

    tolerance: Tolerance
    times_ns: tuple[int, ...]
    values: tuple[tuple[float | None, float | None, float | None], ...]


def made(seed: int) -> Series:
    """Steps, drifts, passings, waves, drifts there and back, noise, gaps and missing readings."""
    dice = random.Random(seed)
    rate = dice.choice(RATES)
    count = min(round(rate * dice.uniform(30.0, 110.0)), 2200)
    sigma = dice.choice((0.0, 0.002, 0.01, 0.03, 0.08))
    bits = dice.choice((None, None, 60.0))
    changes = [_change(dice, count / rate) for _ in range(dice.randrange(1, 8))]
    gaps = [(dice.randrange(count), dice.uniform(0.5, 8.0)) for _ in range(dice.choice((0, 0, 2)))]
    missing = dice.choice((0.0, 0.0, 0.02))
    times, values = [], []
    for number in range(count):
        seconds = number / rate
        silent = sum(length for at, length in gaps if at <= number)
        times.append(round((seconds + silent) * 1e9) + dice.randrange(round(2e8 / rate)))
        row: list[float | None] = []
        for quantity, share in enumerate((1.0, 0.7, 0.7)):
            level = sum(f(seconds) for which, f in changes if which == quantity)
            level += share * sigma * _normal(dice)
            level = round(level * bits) / bits if bits else level
            row.append(None if dice.random() < missing else level)
        values.append((row[0], row[1], row[2]))
    allowed = Tolerance(dice.choice((0.05, 0.1, 0.3)), dice.choice((0.05, 0.1)))
    return Series(allowed, tuple(times), tuple(values))


def _change(dice, length):
    """(quantity, stops of seconds) of one change at a random place."""
    kind, quantity = dice.randrange(5), dice.choice((0, 0, 1, 2))
    at, by = dice.uniform(0.0, length), dice.uniform(-0.8, 0.8)
    over, away = dice.uniform(0.02, 40.0), dice.uniform(0.1, 6.0)
    wave, there = dice.uniform(0.5, 20.0), dice.uniform(2.0, 15.0)

    def ramp(t, begin, long):
        return by * min(max((t - begin) / long, 0.0), 1.0)

    shapes = (
        lambda t: by if t >= at else 0.0,
        lambda t: ramp(t, at, over),
        lambda t: by if at <= t < at + away else 0.0,
        lambda t: by * math.sin(t / wave),
        lambda t: ramp(t, at, there) - ramp(t, at + there, there),
    )
    return quantity, shapes[kind]


def _normal(dice):
    """About normal, of mean 0 and deviation 1, from sums alone."""
    return sum(dice.random() for _ in range(12)) - 6.0


def followed(series: Series) -> tuple[list[Event], Follower]:
    """The events of a series, and who followed it."""
    follower, events = Follower(series.tolerance), []
    for time_ns, values in zip(series.times_ns, series.values, strict=True):
        events += follower.add(time_ns, values)
    return events, follower
