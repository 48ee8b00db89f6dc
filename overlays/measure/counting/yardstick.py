"""What a reading is measured with: a profile's curve and limits resolved for one feed's signal."""

from dataclasses import dataclass, replace

import numpy as np

from overlays.measure.counting.clip import (
    NOWHERE,
    FlatTop,
    Levels,
    Three,
    clip_margin_percent,
    default_clip_percent,
    reserved_percent,
)
from overlays.signal.carried import CarriedCurve, LightTable, light_table
from overlays.signal.curves import Curve
from overlays.signal.levels import Carriage, Decoding, FloatArray, decoding, luma_scale
from overlays.signal.quantities import Level
from overlays.signal.signal import Signal

_MADE = ("carried", "table", "decoding", "weights")
_LIMITS = (
    "signal",
    "shift",
    "clip_percent",
    "floor_percent",
    "clip_margin_percent",
    "flat_top",
    "doubts",
)


@dataclass(frozen=True, slots=True, eq=False)
class Yardstick:
    """Everything that turns codes of one signal into percent, light, clip and floor.

    Attributes
    ----------
    signal, shift:
        Of the frames it may be laid on.
    carried:
        The curve as this feed carries it.
    table:
        Look-up table of the same, for kernels.
    decoding:
        Stored samples to nominal R'G'B'.
    weights:
        Luminance weights of linear R, G, B, (3,) float64.
    clip_percent, floor_percent:
        Highest and lowest level that still carries picture.
    clip_margin_percent:
        How far below the clip a decoded R', G' or B' may lie for all that it is clipped: through
        rounding, and where the clip lies on codes that video must not use.
    flat_top:
        The camera's ceilings below that clip, where they were found in the picture: they are the
        clip of their channels.
    doubts:
        Levels at which the picture is flat and nothing is brighter, in percent: ceilings perhaps,
        or things lit very evenly. They are nobody's clip.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> round(LOG.clip_percent, 1), round(LOG.clip_stops, 1)  # code 1023; (1023 - 64) / 876
    (109.5, 7.7)
    """

    signal: Signal
    shift: int
    carried: CarriedCurve
    table: LightTable
    decoding: Decoding
    weights: FloatArray
    clip_percent: float
    floor_percent: float
    clip_margin_percent: float
    flat_top: FlatTop | None = None
    doubts: Levels = NOWHERE

    @property
    def clip_stops(self) -> float:
        """The clip in stops from mid-grey."""
        return self.carried.percent_to_stops(self.clip_percent)

    @property
    def clip_percents(self) -> Three:
        """The clip of R', G' and B': the ceiling that was found, else the profile's."""
        found = (None, None, None) if self.flat_top is None else self.flat_top.percents
        red, green, blue = (
            self.clip_percent if percent is None else min(percent, self.clip_percent)
            for percent in found
        )
        return red, green, blue

    @property
    def clip_margins(self) -> Three:
        """How far below its clip a channel may lie for all that it is clipped, in percent."""
        top = self.flat_top
        if top is None:
            return (self.clip_margin_percent,) * 3
        red, green, blue = (
            self.clip_margin_percent if percent is None else top.margin(channel, self.signal)
            for channel, percent in enumerate(top.percents)
        )
        return red, green, blue

    @property
    def clip_limits(self) -> FloatArray:
        """(3,) nominal R', G', B' from which on a pixel counts as clipped."""
        limits: FloatArray = np.subtract(self.clip_percents, self.clip_margins) / 100.0
        return limits

    @property
    def first_clip_percent(self) -> float:
        """Level from which on a neutral is clipped in at least one channel."""
        return min(self.clip_percents)

    def under(self, top: FlatTop | None, doubts: Levels = NOWHERE) -> "Yardstick":
        """The same with the ceilings that were found as its clip, and what may be one.

        Parameters
        ----------
        top:
            Ceilings; None where none was found.
        doubts:
            Levels of R', G', B' in percent at which one may be; None where there is none.

        Returns
        -------
        Yardstick
            This one where nothing is new.

        Examples
        --------
        >>> from overlays.measure.counting.example_yards import LOG
        >>> top = FlatTop(percents=(90.0, None, None), share=0.02)
        >>> [round(percent, 1) for percent in LOG.under(top).clip_percents]
        [90.0, 109.5, 109.5]
        """
        if top is self.flat_top and doubts == self.doubts:
            return self
        return replace(self, flat_top=top, doubts=doubts)

    def reads_as(self, other: "Yardstick") -> bool:
        """Whether both give the same readings: made of the same parts, under the same ceilings.

        Parameters
        ----------
        other:
            Any.

        Returns
        -------
        bool
            No, of parts that are equal and were made twice.

        Examples
        --------
        >>> from overlays.measure.counting.example_yards import LOG, VIDEO
        >>> LOG.reads_as(LOG.under(None)), LOG.reads_as(VIDEO)
        (True, False)
        """
        if other is self:
            return True
        parts = all(getattr(self, name) is getattr(other, name) for name in _MADE)
        limits = all(getattr(self, name) == getattr(other, name) for name in _LIMITS)
        return parts and limits

    def may_clip(self, nominal: FloatArray) -> str:
        """The channels of a level that lie where a ceiling is in doubt.

        Parameters
        ----------
        nominal:
            (3,) nominal R', G', B'.

        Returns
        -------
        str
            Such as "RB"; empty where there is none.

        Examples
        --------
        >>> from overlays.measure.counting.example_yards import LOG
        >>> LOG.under(None, doubts=(80.0, None, 90.0)).may_clip(np.array([0.85, 0.85, 0.85]))
        'R'
        """
        return "".join(
            name
            for name, level, least in zip("RGB", nominal, self.doubt_limits, strict=True)
            if least is not None and 100.0 * float(level) >= least
        )

    @property
    def doubt_limits(self) -> Levels:
        """Levels in percent from which on R', G', B' may be clipped; None where nothing is so."""
        if self.doubts == NOWHERE:
            return NOWHERE
        margin = 3.0 * clip_margin_percent(self.signal)
        red, green, blue = (None if d is None else d - margin for d in self.doubts)
        return red, green, blue

    @property
    def floor_stops(self) -> float:
        """The floor in stops; minus infinity or nan where the floor is no light."""
        return self.carried.percent_to_stops(self.floor_percent)


def default_floor_percent(carried: CarriedCurve, signal: Signal) -> float:
    """One code above the curve's black: below it the feed carries no distinct light.

    Parameters
    ----------
    carried:
        The curve as the feed carries it.
    signal:
        The feed's.

    Returns
    -------
    float
        Percent of video level.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> round(default_floor_percent(VIDEO.carried, VIDEO.signal), 3)  # one code of 876
    0.114
    """
    return 100.0 * (carried.nominal(0.0) + 1.0 / luma_scale(signal).span)


def yardstick(
    signal: Signal,
    curve: Curve,
    carriage: Carriage | None = None,
    *,
    clip: Level | None = None,
    floor: Level | None = None,
    shift: int = 0,
) -> Yardstick:
    """Resolve a curve and its limits for a signal; whatever is not given has its default.

    Parameters
    ----------
    signal:
        Of the frames that are to be measured.
    curve:
        What the camera encodes light with.
    carriage:
        How it lies on the codes; None for the curve's own.
    clip, floor:
        Levels in percent or stops; None for `default_clip_percent` and `default_floor_percent`.
    shift:
        Bits by which a stored sample is shifted left of its code.

    Returns
    -------
    Yardstick
        Without ceilings: those are found in pictures.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> round(yardstick(Signal(bits=10), published_curve("BT.709")).clip_percent, 2)
    109.02
    """
    laid = curve.carriage if carriage is None else carriage
    carried = CarriedCurve(curve, laid, signal.range)
    clip_percent = (
        default_clip_percent(laid, signal, curve.family) if clip is None else clip.percent(carried)
    )
    margin = max(clip_margin_percent(signal), reserved_percent(signal, clip_percent))
    return Yardstick(
        signal=signal,
        shift=shift,
        carried=carried,
        table=light_table(carried),
        decoding=decoding(signal, shift),
        weights=np.array(signal.matrix.weights),
        clip_percent=clip_percent,
        floor_percent=(
            default_floor_percent(carried, signal) if floor is None else floor.percent(carried)
        ),
        clip_margin_percent=margin,
    )
