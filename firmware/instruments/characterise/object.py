"""The object that `characterise --json` makes of its answer; loaded only where it is asked for."""

from dataclasses import dataclass

from firmware.answers.cleaner import said
from firmware.answers.origin_object import FeedObject, feed_object
from firmware.instruments.characterise.answer import CharacteriseAnswer
from firmware.instruments.characterise.camera_words import camera_words
from overlays.measure.characterise.floor import FLOOR_RATIO
from overlays.measure.characterise.known import KNOWN_STOPS
from overlays.signal.tabled import TabledStops


@dataclass(frozen=True, slots=True)
class StepObject:
    """One step of the bracket."""

    stops: float = said("as it was set, from mid-grey")
    code: float = said("luma in codes of the feed, what rounding did to it taken out")
    code_pm: float = said("its half width at 95 %")
    noise_codes: tuple[float, ...] = said("deviation of a sample of each of the three planes")
    noise_rgb_codes: tuple[float, ...] = said("the same of R', G', B', in codes of luma")
    clipped: bool = said("whether it lies on the clip")
    outlier: bool = said("whether it is left out: mis-set, or in another light")
    doubtful: bool = said("whether it is one of several of which one or two were mis-set")
    used: bool = said("whether the curve is made of it too")
    cause: str | None = said("why one is left out or doubtful, as far as that is known; else null")
    off_stops: float | None = said("how far it lies beside its neighbours; null where not told")


@dataclass(frozen=True, slots=True)
class LogObject:
    """Log parameters of the Common LUT Format, cameraLinToLog."""

    base: float
    log_side_slope: float
    log_side_offset: float
    lin_side_slope: float
    lin_side_offset: float
    lin_side_break: float | None = said("null where there is no straight part")


@dataclass(frozen=True, slots=True)
class TableObject:
    """Points of a curve that no log parameters fit."""

    stops: tuple[float, ...]
    values: tuple[float, ...] = said("signal on the whole code scale, 0 to 1")
    black: float = said("signal of no light")


@dataclass(frozen=True, slots=True)
class NearObject:
    """A published curve against the steps."""

    curve: str
    carriage: str
    shift_stops: float = said("exposure that was taken out")
    rms_stops: float = said("what is then left, root mean square")


@dataclass(frozen=True, slots=True)
class SureObject:
    """How sure the curve is at a level."""

    stops: float = said("from mid-grey")
    stops_pm: float = said("its half width at 95 %")


@dataclass(frozen=True, slots=True)
class CharacteriseObject:
    """The answer of `characterise --json`."""

    feed: FeedObject
    name: str
    steps: tuple[StepObject, ...]
    log: LogObject | None = said("the curve by parameters; null where they do not fit")
    table: TableObject | None = said("the curve by points; null where parameters fit")
    curve_pm_stops: float = said("how sure its stops are in the middle, mid-grey itself left out")
    sure: tuple[SureObject, ...] = said("the same at each step that was used")
    largest_off_stops: float = said("of the steps that were used")
    scatter_stops: float = said("deviation of what steps were set otherwise; 0 where none is seen")
    flicker_stops: float | None = said("half of what light swings frame by frame; null: not seen")
    nearest: tuple[NearObject, ...] = said("published curves, the nearest first")
    clip_stops: float = said("from mid-grey")
    clip_stops_pm: float = said("its half width")
    floor_stops: float | None = said("null where it lies below what was shown or is not told")
    floor_stops_pm: float | None = said("its half width")
    floor_ratio: float = said("signal to noise of a pixel there")
    floor_seen: bool = said("whether steps lie on both sides of it")
    usable_stops: float = said("from floor to clip, or from the darkest step where there is none")
    usable_at_least: bool = said("whether that is only a lower bound")
    known_from_stops: float | None = said("from where on its stops are known; null: nowhere")
    known_to_stops: float | None = said("up to where")
    known_within_stops: float = said("half width up to which they count as known")
    known_ends_by: str = said("why not below: none, samples, unseen or cut")
    black_code: float = said("of the cap")
    black_noise_codes: float = said("deviation of a pixel there, with what rounding adds")
    words: tuple[str, ...] = said("sentences")
    warnings: tuple[str, ...] = said("sentences")


def object_of(answer: CharacteriseAnswer) -> CharacteriseObject:
    """The object."""
    found = answer.found
    p, formula = found.fit.parameters, found.fit.curve.formula
    return CharacteriseObject(
        feed=feed_object(answer.origin),
        name=answer.name,
        steps=tuple(
            StepObject(
                step.stops,
                step.reading.code,
                step.reading.code_pm,
                noise.planes,
                noise.channels,
                step.is_clipped,
                step.is_outlier,
                step.is_doubtful,
                step.is_used,
                None if step.cause is None else step.cause.value,
                step.off_stops,
            )
            for step, noise in zip(found.steps, answer.noise, strict=True)
        ),
        log=None
        if p is None
        else LogObject(
            p.base,
            p.log_side_slope,
            p.log_side_offset,
            p.lin_side_slope,
            p.lin_side_offset,
            p.lin_side_break,
        ),
        table=TableObject(formula.stops, formula.values, formula.black)
        if isinstance(formula, TabledStops)
        else None,
        curve_pm_stops=found.curve_pm_stops,
        sure=tuple(SureObject(*each) for each in found.sure),
        largest_off_stops=found.fit.largest_off_stops,
        scatter_stops=found.scatter_stops,
        flicker_stops=found.light.swing_stops,
        nearest=tuple(
            NearObject(n.curve, n.carriage.value, n.shift_stops, n.rms_stops) for n in found.nearest
        ),
        clip_stops=found.clip_stops,
        clip_stops_pm=found.clip_stops_pm,
        floor_stops=found.floor_stops,
        floor_stops_pm=found.floor_pm_stops,
        floor_ratio=FLOOR_RATIO,
        floor_seen=found.floor_is_seen,
        usable_stops=found.usable_stops,
        usable_at_least=found.floor_stops is None,
        known_from_stops=found.known.from_stops,
        known_to_stops=found.known.to_stops,
        known_within_stops=KNOWN_STOPS,
        known_ends_by=found.known.end.value,
        black_code=found.black,
        black_noise_codes=found.black_noise,
        words=camera_words(found),
        warnings=tuple(answer.origin.warnings),
    )
