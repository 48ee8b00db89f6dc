"""The clip channel by channel, and which part of a spot lies on a ceiling that was found."""

from dataclasses import replace

import numpy as np

from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.flat_top import FlatTop, spot_sentence
from overlays.measure.spot.spot import SpotPlace, SpotReading, check_place
from overlays.signal.curves import FloatArray
from overlays.signal.frame import Frame

ON_CEILING = 0.25
"""Share of a spot's pixels on a ceiling from which on the spot lies on it. Noise that comes after
the ceiling leaves half of them beneath it, and the margin for rounding catches most of those."""

Three = tuple[float, float, float]


def clip_percents(yard: Yardstick, top: FlatTop | None) -> Three:
    """The clip of R', G' and B' in percent: the ceiling found, or else the yardstick's."""
    found = (None, None, None) if top is None else top.percents
    red, green, blue = (
        yard.clip_percent if percent is None else min(percent, yard.clip_percent)
        for percent in found
    )
    return red, green, blue


def clip_margins(yard: Yardstick, top: FlatTop | None) -> Three:
    """How far below its clip a channel may lie for all that it is clipped, in percent."""
    if top is None:
        return (yard.clip_margin_percent,) * 3
    red, green, blue = (
        yard.clip_margin_percent if percent is None else top.margin(channel, yard)
        for channel, percent in enumerate(top.percents)
    )
    return red, green, blue


def nominal_pixels(frame: Frame, yard: Yardstick, place: SpotPlace) -> FloatArray:
    """Nominal R', G', B' of each pixel of a spot, (pixels, 3); chroma serves its luma samples."""
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
    nominal: FloatArray = (samples - yard.decoding.zero) @ yard.decoding.matrix.T
    return nominal


def clipped_shares(frame: Frame, yard: Yardstick, place: SpotPlace, top: FlatTop | None) -> Three:
    """Shares of a spot's pixels at or above the clip in R', G', B', ceilings that were found too.

    Raises
    ------
    SpotOutsideError
        The spot sticks out of the picture.
    """
    check_place(place, frame.rows, frame.columns)
    limits = np.array(clip_percents(yard, top)) - np.array(clip_margins(yard, top))
    shares = (100.0 * nominal_pixels(frame, yard, place) >= limits).mean(axis=0)
    return float(shares[0]), float(shares[1]), float(shares[2])


def channels_on_ceiling(
    frame: Frame, yard: Yardstick, place: SpotPlace, top: FlatTop | None
) -> str:
    """The channels ("RB") of which a spot lies on a ceiling found in the picture.

    Whatever reads a card asks this: a channel on its ceiling says nothing of the light.

    Raises
    ------
    SpotOutsideError
        The spot sticks out of the picture.
    """
    if top is None:
        return ""
    shares = clipped_shares(frame, yard, place, top)
    return "".join(
        name
        for name, share, percent in zip("RGB", shares, top.percents, strict=True)
        if percent is not None and share >= ON_CEILING
    )


def marked(spot: SpotReading, frame: Frame, yard: Yardstick, top: FlatTop | None) -> SpotReading:
    """A spot's reading with the ceilings that were found counted as its clip.

    `clipped` and `clipped_rgb` go by them, and a warning names the channels that lie on one; so
    whatever looks at these of a spot sees a ceiling as it sees the profile's clip.

    Raises
    ------
    SpotOutsideError
        The spot sticks out of the picture.
    """
    if top is None:
        return spot
    red, green, blue = (
        max(old, new)
        for old, new in zip(
            spot.clipped_rgb, clipped_shares(frame, yard, spot.place, top), strict=True
        )
    )
    channels = channels_on_ceiling(frame, yard, spot.place, top)
    warnings = (*spot.warnings, spot_sentence(channels)) if channels else spot.warnings
    return replace(
        spot,
        clipped=max(spot.clipped, red, green, blue),
        clipped_rgb=(red, green, blue),
        warnings=warnings,
    )
