"""Means of a watched pin, made again of the codes of the frames that they are the means of.

Of a mean over more than `MOST_OF_MEAN` frames so many are kept, spread evenly, and the mean that
stands in a row is that of these.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from firmware.instruments.pin_frames import PinFrames, Reading
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.watch.change import Between, MadeOf, Three, Times
from overlays.measure.watch.follower import NO_LIGHT_STOPS

MOST_OF_MEAN = 32
"""Frames of one mean whose codes are kept: of 48 pixels, 10 bits, some 2 kB each."""


@dataclass(frozen=True, slots=True)
class MeansMadeOf:
    """Of which frames three levels of a pin are the means; None where there is none."""

    reference: MadeOf | None
    before: MadeOf | None
    after: MadeOf | None


def means_of(means: Between | None) -> MeansMadeOf | None:
    """Of which frames they are the means, of many a few."""
    if means is None:
        return None
    known = means.reference_of, means.before_of, means.after_of
    return MeansMadeOf(*(None if each is None else _fewer(each) for each in known))


def _fewer(of: MadeOf) -> MadeOf:
    return MadeOf(*(_spread(times) for times in of.three))


def _spread(times: Times) -> Times:
    """At most so many of them, from the first to the last."""
    if len(times) <= MOST_OF_MEAN:
        return times
    chosen = np.linspace(0, len(times) - 1, MOST_OF_MEAN).round().astype(int)
    return tuple(times[place] for place in chosen)


def only(
    frames: Mapping[int, PinFrames], means: Mapping[int, MeansMadeOf | None]
) -> dict[int, PinFrames]:
    """The codes that the means are made of and no others."""
    out = {}
    for pin, kept in frames.items():
        made_of = means.get(pin)
        parts = () if made_of is None else (made_of.reference, made_of.before, made_of.after)
        wanted = {time for of in parts if of is not None for ts in of.three for time in ts}
        out[pin] = kept.only(wanted)
    return out


def between(
    made_of: MeansMadeOf | None, frames: PinFrames | None, yard: Yardstick
) -> Between | None:
    """The means by the codes; None where a frame of theirs is not there."""
    if made_of is None or frames is None:
        return None
    readings = {time: frames.reading(time, yard) for time in frames.samples}
    reference, before, after = (
        _mean(each, readings) for each in (made_of.reference, made_of.before, made_of.after)
    )
    if reference is None or before is None or after is None:
        return None
    return Between(reference, before, after)


def _mean(of: MadeOf | None, readings: Mapping[int, Reading | None]) -> Three | None:
    if of is None:
        return None
    out = []
    for quantity, times in enumerate(of.three):
        there = [readings.get(time) for time in times]
        values = [None if each is None else _value(each[quantity], quantity) for each in there]
        known = [each for each in values if each is not None]
        if not known or len(known) < len(values):
            return None
        out.append(float(np.mean(known)))
    return out[0], out[1], out[2]


def _value(value: float | None, quantity: int) -> float | None:
    """A reading without light stands below every floor, as it does for a watch."""
    return NO_LIGHT_STOPS if value is None and quantity == 0 else value
