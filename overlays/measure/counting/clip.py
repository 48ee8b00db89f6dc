"""Where a picture clips: by what its codes can hold, or by what was found of the camera in it."""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from overlays.signal.curves import Family
from overlays.signal.levels import (
    Carriage,
    FloatArray,
    code_to_percent,
    decoding,
    link_step,
    luma_scale,
    value_to_percent,
)
from overlays.signal.signal import Components, Range, Signal

Three = tuple[float, float, float]
Levels = tuple[float | None, float | None, float | None]
"""Of R', G' and B', in percent; None where there is none."""

NOWHERE: Levels = (None, None, None)


@dataclass(frozen=True, slots=True)
class FlatTop:
    """Where R', G' and B' of a camera give out: its ceilings as they were found in the picture.

    Attributes
    ----------
    percents:
        Their levels in percent; None for a channel whose ceiling is not known.
    share:
        Share of the picture that lies on the largest.
    spreads:
        Deviation of what lies on each, in percent: what came after the ceiling.
    readings:
        In how many readings it was found.

    Examples
    --------
    >>> top = FlatTop(percents=(90.0, None, 91.5), share=0.02)
    >>> top.channels, top.lowest
    ('RB', 90.0)
    """

    percents: Levels
    share: float
    spreads: Three = (0.0, 0.0, 0.0)
    readings: int = 1

    @property
    def channels(self) -> str:
        """Those ("RB") whose ceiling is known."""
        return "".join(n for n, p in zip("RGB", self.percents, strict=True) if p is not None)

    @property
    def lowest(self) -> float:
        """The lowest of its levels in percent: from here on a neutral is clipped in a channel."""
        return min(percent for percent in self.percents if percent is not None)

    def margin(self, channel: int, signal: Signal) -> float:
        """How far below its ceiling a pixel of a channel may lie and still be on it, in percent.

        Parameters
        ----------
        channel:
            0 to 2 for R', G', B'.
        signal:
            Of the picture.

        Returns
        -------
        float
            Percent of video level, at least what rounding makes.

        Examples
        --------
        >>> FlatTop((90.0, None, None), 0.02, spreads=(0.5, 0.0, 0.0)).margin(0, Signal(bits=10))
        1.5
        """
        return max(clip_margin_percent(signal), 3.0 * self.spreads[channel])


@cache
def picture_codes(signal: Signal) -> tuple[int, int]:
    """The lowest and the highest code that picture may have: 1 and 254 of 8 bits on limited range.

    4 and 1019 of 10: what lies beyond are timing references (ITU-R BT.709-6 item 4, from memory:
    tests/reference/levels.csv). On full range every code is picture; what was made of a limited
    link's holds what became of its codes.

    Parameters
    ----------
    signal:
        Gives depth and range.

    Returns
    -------
    tuple[int, int]
        In codes of that depth.

    Examples
    --------
    >>> picture_codes(Signal(bits=10)), picture_codes(Signal(bits=8, range=Range.SQUEEZED))
    ((4, 1019), (17, 234))
    """
    top = luma_scale(signal).top
    if signal.range.is_whole:
        return 0, top
    step = 1 << (signal.bits - 8)
    link = luma_scale(replace(signal, range=Range.LIMITED))
    ends = np.array([step, top - step], dtype=float)
    for _ in range(signal.range.squeezes):
        ends = link.zero + link.span * ends / top
    low, high = (round(float(end)) for end in ends)
    return low, high


def highest_video_code(signal: Signal) -> int:
    """The highest code that picture may have, see `picture_codes`.

    Parameters
    ----------
    signal:
        Of 8 bits or more.

    Returns
    -------
    int
        A code of luma.

    Examples
    --------
    >>> highest_video_code(Signal(bits=10)), highest_video_code(Signal(bits=8, range=Range.FULL))
    (1019, 255)
    """
    return picture_codes(signal)[1]


def default_clip_percent(carriage: Carriage, signal: Signal, family: Family = Family.LOG) -> float:
    """Level of the curve's top (v = 1), or of the signal's top code where that is lower.

    Code 1023 for a full-scale log curve on 10 bits. Standard gamma goes on above 100 %: codes up
    to `highest_video_code` (109.0 % of 10 bits, 108.7 % of 8) carry super-white, and a camera
    clips where it stops, which is found in the picture or told in a profile.

    Parameters
    ----------
    carriage:
        How the curve lies on the codes.
    signal:
        The feed's.
    family:
        Of the curve.

    Returns
    -------
    float
        Percent of video level.

    Examples
    --------
    >>> round(default_clip_percent(Carriage.NARROW, Signal(bits=10), Family.STANDARD), 2)
    109.02
    """
    if family is Family.STANDARD and not signal.range.is_whole:
        return code_to_percent(float(highest_video_code(signal)), signal)
    top_of_curve = value_to_percent(1.0, carriage, signal.range)
    return min(top_of_curve, code_to_percent(float(luma_scale(signal).top), signal))


@cache
def clip_margin_percent(signal: Signal) -> float:
    """Rounding of the three planes carried to the worst of R', G', B', in percent.

    Half a code of each plane; with BT.709 B' moves by half a luma code plus 0.93 nominal chroma.
    What was stretched was rounded twice, first in steps of the link's codes.

    Parameters
    ----------
    signal:
        The feed's.

    Returns
    -------
    float
        Percent of video level, above 0.

    Examples
    --------
    >>> from overlays.signal.signal import Signal
    >>> f"{clip_margin_percent(Signal(8)):.2f} {clip_margin_percent(Signal(10)):.2f}"
    '0.64 0.16'
    """
    half = 50.0 * (1.0 + link_step(signal))
    luma = luma_scale(signal)
    if signal.components is Components.RGB:
        return half / luma.span
    rows = abs(decoding(signal).matrix).sum(axis=1)
    return float(half * rows.max())


def reserved_percent(signal: Signal, clip_percent: float) -> float:
    """How far a clip lies above the highest code that video may use, in percent; 0 where it is not.

    A camera that clips at a log curve's code 1023 arrives as 1019 over a link.

    Parameters
    ----------
    signal:
        The feed's.
    clip_percent:
        The clip, in percent of video level.

    Returns
    -------
    float
        Percent of video level, 0 or more.

    Examples
    --------
    >>> round(reserved_percent(Signal(bits=10), 110.0), 2)  # code 1019 is 109.02 %
    0.98
    """
    if signal.range.is_whole:
        return 0.0
    return max(clip_percent - code_to_percent(float(highest_video_code(signal)), signal), 0.0)


def ceiling_sentences(
    shares: FloatArray, may_clip: str, top: FlatTop | None, least: float = 0.002
) -> tuple[str, ...]:
    """What the picture itself says of the camera's clip, where a spot lies on it.

    Parameters
    ----------
    shares:
        (3,) of the spot's pixels that are clipped in R', G', B', 0 to 1.
    may_clip:
        Channels in which the spot may be clipped, as `Yardstick.may_clip` tells.
    top:
        Ceilings that were found.
    least:
        Share from which on a clipped channel is worth a word.

    Returns
    -------
    tuple[str, ...]
        Sentences without a full stop; none where there is nothing to say.

    Examples
    --------
    >>> ceiling_sentences(np.array([0.5, 0.0, 0.0]), "", FlatTop((90.0, None, None), share=0.02))
    ('the clip of R is where the camera gives out, as found from the picture',)
    """
    known = "" if top is None else top.channels
    clipped = zip("RGB", shares, strict=True)
    channels = "".join(name for name, share in clipped if share > least and name in known)
    out = []
    if channels:
        out.append(
            f"the clip of {channels} is where the camera gives out, as found from the picture"
        )
    if may_clip:
        out.append(
            f"the spot may be clipped by the camera ({may_clip}), so there is no ±: it is flat and "
            "nothing is brighter; close the lens by a stop and see whether it falls by one"
        )
    return tuple(out)
