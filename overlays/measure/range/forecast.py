"""The forecast: what the brightest and darkest things will read once the light has been changed."""

import math
from dataclasses import dataclass

import numpy as np

from overlays.measure.counting.census import Census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.flat_top import find_flat_top, flat_top_sentence
from overlays.measure.range.range import RangeReading
from overlays.measure.spot.spot import (
    CLIPPED_SHARE,
    SpotPlace,
    SpotReading,
    read_spot,
    stops_of,
)
from overlays.signal.curves import FloatArray, stops_to_linear
from overlays.signal.frame import Frame
from overlays.signal.levels import luma_scale
from overlays.signal.signal import Signal
from overlays.wording.reasons import Bound


@dataclass(frozen=True, slots=True)
class Forecast:
    """What to expect after a change of light.

    Attributes
    ----------
    brightest_stops, brightest_pm, darkest_stops, darkest_pm:
        What the two extremes will read, with half widths of 95 %; None where unknown.
    clips:
        Whether anything larger than a speck will be at or above the clip in any channel; None
        where that cannot be known, since it is clipped now.
    sinks:
        Whether the darkest thing will lie below the floor; None where unknown.
    clipped_rgb:
        Shares of the picture that will be clipped in R', G', B'; None where unknown.
    warnings:
        Plain sentences.
    brightest_bound:
        Whether what the brightest thing will read is only a bound, since it is
        clipped now or will be.
    """

    brightest_stops: float | None
    brightest_pm: float | None
    darkest_stops: float | None
    darkest_pm: float | None
    clips: bool | None
    sinks: bool | None
    clipped_rgb: tuple[float, float, float] | None
    warnings: tuple[str, ...] = ()
    brightest_bound: Bound | None = None


def foresee(
    change_stops: float,
    frame: Frame,
    yard: Yardstick,
    census: Census,
    found: RangeReading,
    speck_percent: float,
) -> Forecast:
    """Foresee the extremes of a picture after a change of light.

    Parameters
    ----------
    change_stops:
        Light added (positive) or taken, in front of the sensor's clip.
    frame, yard:
        The picture as it is now, and what it is measured with.
    census, found:
        Of this frame: the census with `Wants.LEVELS | Wants.RGB`, and its range.
    speck_percent:
        Share of the picture below which a clipped thing does not matter.

    Notes
    -----
    Light is multiplied pixel by pixel and channel by channel, and held at the clip. The ± is that
    of the reading now together with what the same error in codes will be worth in stops at the new
    level, since the reading to come has an error of its own.
    """
    bright, dark = (
        read_spot(frame, yard, SpotPlace(thing.column, thing.row, thing.size))
        for thing in (found.brightest, found.darkest)
    )
    warnings: list[str] = []
    top = find_flat_top(census, yard)
    if top is not None:
        warnings.append(flat_top_sentence(top, yard))
    gone = bright.clipped >= 0.5 or (top is not None and top.holds(bright, yard) != "")
    brightest, bright_pm = _brightest(change_stops, frame, yard, bright, warnings, gone=gone)
    bound = None
    clipped = gone or bright.bound is Bound.AT_LEAST
    if brightest is not None and (clipped or _will_clip(change_stops, frame, yard, bright.place)):
        bright_pm, bound = None, Bound.AT_LEAST
    darkest, dark_pm, sinks = _darkest(change_stops, dark, yard, warnings)
    shares = None if gone and change_stops < 0.0 else clipped_after(change_stops, census, yard)
    clips = None if shares is None else max(shares) > speck_percent / 100.0
    if gone and change_stops >= 0.0:
        clips = True
    said = tuple(warnings)
    return Forecast(brightest, bright_pm, darkest, dark_pm, clips, sinks, shares, said, bound)


def _brightest(
    change: float,
    frame: Frame,
    yard: Yardstick,
    bright: SpotReading,
    warnings: list[str],
    *,
    gone: bool,
) -> tuple[float | None, float | None]:
    if bright.stops is None:
        return None, None
    if gone and change < 0.0:
        warnings.append(
            "the brightest thing is clipped now: with less light it will read at least "
            f"{bright.stops + change:+.1f} st, by how much more cannot be foreseen"
        )
        return None, None
    if gone:
        return bright.stops, bright.stops_pm
    if bright.hides_light:
        warnings.append("part of the brightest thing is clipped now: it may turn out brighter")
    clip = stops_to_linear(yard.clip_stops)
    light = np.minimum(_pixels(frame, yard, bright.place) * 2.0**change, clip)
    after = stops_of(float(yard.weights @ light.mean(axis=0)))
    if after is None:
        return None, None
    return after, pm_after(bright, after, yard)


def _will_clip(change: float, frame: Frame, yard: Yardstick, place: SpotPlace) -> bool:
    """Whether so much of a thing will lie at the clip that what it reads is only a bound."""
    light = _pixels(frame, yard, place) * 2.0**change
    clip = stops_to_linear(yard.clip_stops)
    return float((light >= clip).any(axis=1).mean()) > CLIPPED_SHARE


def _pixels(frame: Frame, yard: Yardstick, place: SpotPlace) -> FloatArray:
    """Linear R, G, B of each pixel of a spot, (pixels, 3)."""
    rows = np.arange(place.top, place.top + place.rows)
    columns = np.arange(place.left, place.left + place.size)
    shared = frame.signal.subsampling
    stored = [
        plane[np.ix_(rows // down, columns // across)].astype(np.float64)
        for plane, down, across in zip(
            frame.planes,
            (1, shared.rows, shared.rows),
            (1, shared.columns, shared.columns),
            strict=True,
        )
    ]
    samples = np.stack(stored, axis=-1).reshape(-1, 3)
    nominal = (samples - yard.decoding.zero) @ yard.decoding.matrix.T
    return yard.carried.light(nominal)


def _darkest(
    change: float, dark: SpotReading, yard: Yardstick, warnings: list[str]
) -> tuple[float | None, float | None, bool | None]:
    if dark.stops is None:
        warnings.append("the darkest thing has no light above black: where it will lie is unknown")
        return None, None, None
    after = dark.stops + change
    sinks = after < yard.floor_stops if math.isfinite(yard.floor_stops) else None
    pm = pm_after(dark, after, yard)
    if pm is None:
        warnings.append(
            f"the darkest thing will lie near {after:+.0f} st, where this feed tells no stops apart"
        )
        return None, None, sinks
    return after, pm, sinks


def percent_a_stop(stops: float, yard: Yardstick) -> float:
    """Percent of video level to one stop of light at a level."""
    near = 0.02
    carried = yard.carried
    rise = carried.stops_to_percent(stops + near) - carried.stops_to_percent(stops - near)
    return rise / (2.0 * near)


def pm_after(spot: SpotReading, after_stops: float, yard: Yardstick) -> float | None:
    """± of a spot's stops once its light has changed to `after_stops`."""
    if spot.stops is None or spot.stops_pm is None:
        return None
    quarter_code = 25.0 / luma_scale(yard.signal).span
    there = percent_a_stop(after_stops, yard)
    if there < quarter_code:  # a stop down there is lost in rounding
        return None
    in_percent = spot.stops_pm * percent_a_stop(spot.stops, yard)
    # The reading to come may be rounded where this one was dithered by noise.
    return math.hypot(spot.stops_pm, max(in_percent, quarter_code) / there)


def clipped_after(
    change: float, census: Census, yard: Yardstick
) -> tuple[float, float, float] | None:
    """Shares of the picture at or above the clip in R', G', B' after a change of light."""
    if census.rgb is None:
        return None
    limit = stops_to_linear(yard.clip_stops) * 2.0**-change
    eight = luma_scale(Signal(bits=8, range=yard.signal.range))
    level = eight.zero + eight.span * (yard.carried.nominal(limit) - yard.clip_margin_percent / 100)
    first = min(max(math.ceil(level - 0.5), 0), 256)
    counts = census.rgb[:, :, first:].sum(axis=(1, 2), dtype=np.int64) / census.pixels
    return float(counts[0]), float(counts[1]), float(counts[2])
