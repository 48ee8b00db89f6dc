"""The forecast: what the brightest and darkest things will read once the light has been changed."""

import math
from dataclasses import dataclass

import numpy as np

from overlays.measure.counting.census import Census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.area_pixels import nominal_pixels
from overlays.measure.range.flat_top import flat_top_sentence
from overlays.measure.range.footroom import why_not_foreseen, will_sink
from overlays.measure.range.range_reading import RangeReading
from overlays.measure.spot.spot import CLIPPED_SHARE, SpotPlace, SpotReading, read_spot
from overlays.measure.spot.stops import stops_of
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
        Whether the darkest thing will lie below the floor; None where unknown, as where the darkest
        has no ± now. Where it is a bound that alone may tell (`will_sink`).
    clipped_rgb:
        Shares of the picture that will be clipped in R', G', B'; None where unknown.
    warnings:
        Plain sentences.
    channels:
        The channels ("RB") in which something larger than a speck will be clipped.
    clipped_now:
        Those in which something is clipped now, so that what it truly is cannot be seen.
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
    channels: str = ""
    clipped_now: str = ""
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

    Returns
    -------
    Forecast
        In stops, with half widths.

    Notes
    -----
    Light is multiplied pixel by pixel and channel by channel, and held at the clip. The ± is that
    of the reading now together with what the same error in codes will be worth in stops at the new
    level, since the reading to come has an error of its own.

    Examples
    --------
    >>> from overlays.measure.counting.census import Wants, take_census
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.range.range import read_range
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[420, 496], [420, 420]], cell=16)
    >>> census = take_census(frame, LOG, Wants.LEVELS | Wants.RGB | Wants.CLIPPING)
    >>> found = foresee(1.0, frame, LOG, census, read_range(frame, LOG, census), 0.02)
    >>> round(found.brightest_stops, 1), round(found.darkest_stops, 1), found.clips
    (2.0, 1.0, False)
    """
    yard = yard.under(found.flat_top, found.doubts)
    bright, dark = found.spots(yard) or (
        read_spot(frame, yard, SpotPlace(thing.column, thing.row, thing.size))
        for thing in (found.brightest, found.darkest)
    )
    warnings: list[str] = []
    if found.flat_top is not None:
        warnings.append(flat_top_sentence(found.flat_top, yard))
    gone, suspect = found.clipped_channels, "" if found.clipped_channels else found.suspect
    now = bright, gone, suspect
    brightest, bright_pm = _brightest(change_stops, frame, yard, now, warnings)
    bound = None
    clipped = bool(gone) or bright.bound is Bound.AT_LEAST
    if brightest is not None and (clipped or _will_clip(change_stops, frame, yard, bright.place)):
        bright_pm, bound = None, Bound.AT_LEAST
    darkest, dark_pm, sinks = _darkest(change_stops, dark, yard, warnings)
    shares = clipped_after(change_stops, census, yard)
    limit = speck_percent / 100.0
    lost = gone + _over(found.clipped_rgb, limit)
    if lost and change_stops < 0.0:
        shares = None  # how far above the clip they are cannot be seen
    will = gone if shares is None else _over(shares, limit)
    clips: bool | None = None if shares is None else bool(will)
    if lost and change_stops >= 0.0:
        clips, will = True, lost + will
    if suspect and not clips:
        clips = None  # whether it does now cannot be seen
    return Forecast(
        brightest,
        bright_pm,
        darkest,
        dark_pm,
        clips,
        sinks,
        shares,
        tuple(warnings),
        channels=_in_order("" if clips is None else will),
        clipped_now=_in_order(lost),
        brightest_bound=bound,
    )


def _over(shares: tuple[float, float, float], limit: float) -> str:
    return "".join(name for name, share in zip("RGB", shares, strict=True) if share > limit)


def _in_order(channels: str) -> str:
    return "".join(name for name in "RGB" if name in channels)


def _brightest(
    change: float,
    frame: Frame,
    yard: Yardstick,
    now: tuple[SpotReading, str, str],
    warnings: list[str],
) -> tuple[float | None, float | None]:
    bright, gone, suspect = now
    if bright.stops is None:
        return None, None
    if suspect:
        warnings.append(
            "the brightest thing may be clipped now: how bright it will be cannot be foreseen"
        )
        return None, None
    if gone and change < 0.0:
        warnings.append(
            f"the brightest thing is clipped now ({gone}): with less light it will read at least "
            f"{bright.stops + change:+.1f} st, by how much more cannot be foreseen"
        )
        return None, None
    if len(gone) == 3:
        return bright.stops, bright.stops_pm
    if gone and change > 0.0:
        rest = " and ".join(name for name in "RGB" if name not in gone)
        warnings.append(
            f"the brightest thing is clipped now ({gone}): with more light only {rest} still "
            f"{'rise' if ' ' in rest else 'rises'}"
        )
    elif bright.hides_light and not gone:
        warnings.append("part of the brightest thing is clipped now: it may turn out brighter")
    nominal = nominal_pixels(frame, yard, bright.place)
    light = np.minimum(yard.carried.light(nominal) * 2.0**change, _clips(yard))
    after = stops_of(float(yard.weights @ light.mean(axis=0)))
    if after is None:
        return None, None
    return after, pm_after(bright, after, yard)


def _clips(yard: Yardstick) -> FloatArray:
    """(3,) linear light of R, G and B at their clips."""
    stops = (yard.carried.percent_to_stops(percent) for percent in yard.clip_percents)
    return np.array([stops_to_linear(each) for each in stops])


def _will_clip(change: float, frame: Frame, yard: Yardstick, place: SpotPlace) -> bool:
    """Whether so much of a thing will lie at the clip that what it reads is only a bound."""
    light = yard.carried.light(nominal_pixels(frame, yard, place)) * 2.0**change
    return float((light >= _clips(yard)).any(axis=1).mean()) > CLIPPED_SHARE


def _darkest(
    change: float, dark: SpotReading, yard: Yardstick, warnings: list[str]
) -> tuple[float | None, float | None, bool | None]:
    sinks = will_sink(change, dark, yard)
    if dark.stops is None or dark.unknown is not None:
        warnings.append(why_not_foreseen(change, dark))
        return None, None, sinks
    after = dark.stops + change
    pm = pm_after(dark, after, yard)
    if pm is None:
        near = f"near {after:+.0f} st"
        warnings.append(f"the darkest thing will lie {near}, where this feed tells no stops apart")
        return None, None, sinks
    return after, pm, sinks


def percent_a_stop(stops: float, yard: Yardstick) -> float:
    """Percent of video level to one stop of light at a level.

    Parameters
    ----------
    stops:
        From mid-grey.
    yard:
        Gives the curve.

    Returns
    -------
    float
        Percent a stop, 0 where the curve is flat.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> round(8.76 * percent_a_stop(0.5, LOG))  # codes from 420 to 496
    76
    """
    near = 0.02
    carried = yard.carried
    rise = carried.stops_to_percent(stops + near) - carried.stops_to_percent(stops - near)
    return rise / (2.0 * near)


def pm_after(spot: SpotReading, after_stops: float, yard: Yardstick) -> float | None:
    """± of a spot's stops once its light has changed.

    Parameters
    ----------
    spot:
        As it reads now.
    after_stops:
        Where it will lie, in stops from mid-grey.
    yard:
        What it is measured with.

    Returns
    -------
    float | None
        Stops, 95 %; None where there is no ± now, or where a stop is lost in rounding.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> now = read_spot(grey_frame([[496]], cell=16), LOG, SpotPlace(8, 8, 8))
    >>> 0.0 < now.stops_pm < pm_after(now, -3.0, LOG)  # a code is worth more stops down there
    True
    """
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
    """Shares of the picture at or above the clip in R', G', B' after a change of light.

    Parameters
    ----------
    change:
        Stops of light added.
    census:
        Of the frame as it is.
    yard:
        Gives clip and curve.

    Returns
    -------
    tuple[float, float, float] | None
        Shares, 0 to 1; None of a census without `Wants.RGB`.

    Examples
    --------
    >>> from overlays.measure.counting.census import Wants, take_census
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> census = take_census(grey_frame([[420, 900]]), LOG, Wants.RGB)
    >>> clipped_after(0.0, census, LOG), clipped_after(3.0, census, LOG)
    ((0.0, 0.0, 0.0), (0.5, 0.5, 0.5))
    """
    if census.rgb is None:
        return None
    eight = luma_scale(Signal(bits=8, range=yard.signal.range))
    out = []
    for channel, (clip, margin) in enumerate(
        zip(yard.clip_percents, yard.clip_margins, strict=True)
    ):
        limit = float(yard.carried.light(clip / 100.0)) * 2.0**-change
        level = eight.zero + eight.span * (yard.carried.nominal(limit) - margin / 100.0)
        first = min(max(math.ceil(level - 0.5), 0), 256)
        out.append(int(census.rgb[channel, :, first:].sum(dtype=np.int64)) / census.pixels)
    return out[0], out[1], out[2]
