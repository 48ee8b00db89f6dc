"""What a cap, a bracket and a clip say of a camera."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from overlays.errors import TooFewStepsError
from overlays.measure.characterise.blamed import light_over, with_causes
from overlays.measure.characterise.bracket_steps import Step, is_sunk, judged_steps, value_of
from overlays.measure.characterise.clear_of_cut import clear_pm
from overlays.measure.characterise.fit import FittedCurve
from overlays.measure.characterise.flicker import BracketFrames, Light
from overlays.measure.characterise.floor import floor_of
from overlays.measure.characterise.known import Known, known_of, pm_at
from overlays.measure.characterise.misset import FEWEST_STEPS
from overlays.measure.characterise.rounded import taken_back
from overlays.measure.characterise.unbent import unbent, width_of
from overlays.measure.counting.clip import picture_codes
from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curves
from overlays.signal.signal import Range, Signal

MOST_SHIFT_STOPS = 0.35
"""Exposure by which a published curve may be moved against the steps to be held against them."""

NEAREST = 3


@dataclass(frozen=True, slots=True)
class Near:
    """A published curve against the steps: how far they lie from it once exposure is taken out."""

    curve: str
    carriage: Carriage
    shift_stops: float
    rms_stops: float


@dataclass(frozen=True, slots=True)
class CameraFound:
    """A camera.

    Attributes
    ----------
    signal:
        Of the feed, as it is read.
    steps:
        Of the bracket, the darkest first.
    black, black_noise:
        Code of the cap, and the deviation of a pixel there.
    fit:
        Its curve.
    curve_pm_stops:
        How sure its stops are: how far the steps lie beside it, and their half widths in the middle
        of the bracket. Mid-grey itself is as sure as the card was metered, which moves all alike.
    sure:
        (stops, half width) of its steps: how sure it is at each of them. Where a code is worth more
        light, as in the dark, it is less sure than in the middle.
    nearest:
        Published curves, the nearest first.
    clip_stops, clip_stops_pm:
        Where it gives out.
    floor_stops:
        Where signal to noise is `FLOOR_RATIO`; None where it lies more than a stop below the
        darkest step, where noise is cut off, or where that of the steps tells none.
    floor_pm_stops:
        How far that may be off: by how the noise of neighbouring steps differs, and by the curve.
    floor_is_seen:
        Whether steps lie on both sides of it; else it is told by the noise of the cap.
    scatter_stops:
        Deviation of what steps were set, or lit, otherwise than was said; 0 where none is seen.
    known:
        Over which levels, from the floor on, its stops are known to `KNOWN_STOPS`.
    light:
        What frames that follow each other say of the light.
    """

    signal: Signal
    steps: tuple[Step, ...]
    black: float
    black_noise: float
    fit: FittedCurve
    curve_pm_stops: float
    sure: tuple[tuple[float, float], ...]
    nearest: tuple[Near, ...]
    clip_stops: float
    clip_stops_pm: float
    floor_stops: float | None
    floor_pm_stops: float | None
    floor_is_seen: bool
    known: Known
    scatter_stops: float = 0.0
    light: Light = field(default_factory=Light)

    def pm_at(self, stops: float) -> float:
        """How sure its stops are at a level, mid-grey itself left out.

        Parameters
        ----------
        stops:
            From mid-grey.

        Returns
        -------
        float
            95 % half width in stops: that of the steps around it, above them of the last one, below
            them twice as much each stop. It is that of the steps: between two of them the curve is
            drawn through both, and where the true one bends more sharply it is further off (0.007
            stop, three times as much, where the straight part of S-Log3 meets its logarithm).

        Examples
        --------
        >>> from overlays.signal.published import published_curve
        >>> log = Delivery(published_curve("S-Log3"), Carriage.FULL, Range.LIMITED)
        >>> codes = log.codes(0.18 * 2.0 ** np.arange(-6.0, 5.0), bits=10).round().tolist()
        >>> bracket = [(n - 6.0, CodeReading(code, 0.3)) for n, code in enumerate(codes)]
        >>> cap, clip = CodeReading(95.0, 0.3), CodeReading(886.0, 1.0)
        >>> found = characterised(cap, bracket, clip, Signal(bits=10))
        >>> round(found.pm_at(-8.0) / found.pm_at(-7.0), 3)  # in the dark a code is worth ever more
        2.0
        """
        return pm_at(stops, self.sure)

    @property
    def least_sure(self) -> tuple[float, float]:
        """The level at which its stops are least sure, and how sure they are there."""
        return max(self.sure, key=lambda each: each[1])

    @property
    def usable_stops(self) -> float:
        """From floor to clip; where the floor is not known, at least so much."""
        return self.clip_stops - (self.darkest if self.floor_stops is None else self.floor_stops)

    @property
    def darkest(self) -> float:
        """Stops of the darkest step that tells light from black."""
        return min(stops for stops, _ in self.sure)

    @property
    def outliers(self) -> tuple[Step, ...]:
        """Steps that were mis-set, or whose light was another."""
        return tuple(step for step in self.steps if step.is_outlier)

    @property
    def doubtful(self) -> tuple[Step, ...]:
        """Steps of which at least one was mis-set, and none can say which."""
        return tuple(step for step in self.steps if step.is_doubtful)


def characterised(
    cap: CodeReading,
    bracket: Sequence[tuple[float, CodeReading]],
    clip: CodeReading,
    signal: Signal,
    frames: BracketFrames | None = None,
) -> CameraFound:
    """A camera by its cap, its bracket and its clip.

    Parameters
    ----------
    cap, clip:
        In codes of the signal.
    bracket:
        (stops as set, reading in codes) of a grey card; 0 is mid-grey by a light meter.
    signal:
        Of the feed, as it is read.
    frames:
        What the frames of each step did, in the order of the bracket; None of single frames.

    Returns
    -------
    CameraFound
        Its curve on the whole code scale.

    Raises
    ------
    TooFewStepsError
        Fewer than five steps are left that are neither clipped nor mis-set, or they do not rise.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> log = Delivery(published_curve("S-Log3"), Carriage.FULL, Range.LIMITED)
    >>> codes = log.codes(0.18 * 2.0 ** np.arange(-6.0, 5.0), bits=10).round().tolist()
    >>> bracket = [(n - 6.0, CodeReading(code, 0.3)) for n, code in enumerate(codes)]
    >>> cap, clip = CodeReading(95.0, 0.3), CodeReading(886.0, 1.0)  # six stops over mid-grey
    >>> found = characterised(cap, bracket, clip, Signal(bits=10))
    >>> found.nearest[0].curve, round(found.clip_stops, 1), len(found.outliers)
    ('S-Log3', 6.0, 0)
    """
    order = sorted(range(len(bracket)), key=lambda n: bracket[n][0])
    bracket = [bracket[n] for n in order]
    read = [cap, *(reading for _, reading in bracket)]
    cap, *rest = taken_back(read, picture_codes(signal)[0])
    bracket = [(stops, reading) for (stops, _), reading in zip(bracket, rest, strict=True)]
    steps = judged_steps(bracket, clip, signal)
    good = [s for s in steps if s.is_used and s.reading.code > cap.code]
    if len(good) < FEWEST_STEPS:
        raise TooFewStepsError(
            f"{len(good)} of {len(steps)} steps can be used, the others are clipped, mis-set or "
            f"black; at least {FEWEST_STEPS} are needed"
        )
    judged, sunk = good, is_sunk(cap, signal)
    good, lies, fit, scatter, bent = unbent(cap, judged, signal)
    light = light_over(None if frames is None else frames.ordered(order), fit.curve, signal)
    pm = lies.pm_stops + fit.beside_stops
    if sunk:
        pm = np.minimum(pm, clear_pm(cap, judged, fit.curve, signal))
    pm = pm + light.left_stops
    read_pm = np.array([step.reading.code_pm for step in judged])
    sure = tuple((s.stops, float(each)) for s, each in zip(good, pm, strict=True))
    clip_at, clip_pm = _clip(clip, steps, fit, signal)
    floor = floor_of(cap, good, fit.curve, lies, bent.signal, signal)
    return CameraFound(
        signal,
        with_causes(steps, light, signal),
        cap.code,
        cap.noise,
        fit,
        float(np.median(pm)),
        sure,
        _nearest(good, signal),
        clip_at,
        clip_pm + float(pm[-1]),
        floor.stops,
        floor.pm_stops,
        floor.is_seen,
        known_of(sure, read_pm, bent.pm, clip_at, floor.stops, sunk),
        scatter,
        light,
    )


def _clip(
    clip: CodeReading, steps: Sequence[Step], fit: FittedCurve, signal: Signal
) -> tuple[float, float]:
    """Where the curve reaches the clip; as sure as the curve is far from the last step below it."""
    at = float(fit.curve.value_to_stops(code := value_of(clip.code, signal)))
    beyond = max(at - max(step.stops for step in steps if step.is_used), 0.0)
    width = width_of(clip.code_pm, signal)
    near = abs(float(fit.curve.value_to_stops(code + width)) - at)
    return at, near + 0.1 * beyond


def _nearest(steps: Sequence[Step], signal: Signal) -> tuple[Near, ...]:
    stops, codes = np.array([(step.stops, step.reading.code) for step in steps]).T
    out = []
    for curve in published_curves():
        for carriage in Carriage:
            if signal.range is Range.FULL and carriage is not curve.carriage:
                continue  # on full range the two are the same
            off = Delivery(curve, carriage, signal.range).stops(codes, signal.bits) - stops
            off = off[np.isfinite(off)]
            if off.size < FEWEST_STEPS:
                continue
            shift = float(np.median(off))
            if abs(shift) <= MOST_SHIFT_STOPS:
                rms = float(np.sqrt(np.mean((off - shift) ** 2)))
                out.append(Near(curve.name, carriage, shift, rms))
    return tuple(sorted(out, key=lambda near: near.rms_stops)[:NEAREST])
