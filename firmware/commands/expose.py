"""`midgrey expose`: how far a card is off its target, and the moves that put it right."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, TextIO

from firmware.clock import Clock
from firmware.exposure_options import ExposeOptions
from firmware.opening.looking import Look, looking, written_spots
from firmware.profiles.camera_controls import Controls, controls_of
from firmware.profiles.quantities import parse_level
from firmware.readout import SCHEMA, feed_object, finite, profile_object
from firmware.wording import percent_text, stops_text
from firmware.written.options import Output
from firmware.written.spelling import choice
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.expose.advice import (
    Move,
    Shooting,
    joined_moves,
    off_target,
    present_notes,
    single_moves,
    total_change,
)
from overlays.measure.expose.advice_words import forecast_words, main_words, move_words, off_words
from overlays.measure.expose.mains import Mains
from overlays.measure.expose.sequences import Setting
from overlays.measure.range.forecast import Forecast, foresee
from overlays.measure.range.range import read_range
from overlays.measure.spot.spot import SPECK_SHARE, SpotReading, read_spot
from overlays.signal.curves import Family
from overlays.signal.quantities import Level


@dataclass(frozen=True, slots=True, eq=False)
class Exposure:
    """Everything that is said of one exposure.

    Attributes
    ----------
    spot, target:
        The card and where it belongs.
    off_stops, pm:
        How far it is above that; None where it cannot be read.
    moves, together:
        Alternatives, best first, and moves to be made together where no single one will do.
    forecast:
        After the first of them, or after the light that is missing where no setting is known.
    change_stops:
        The change of light that the forecast is of.
    warnings:
        Plain sentences.
    """

    spot: SpotReading
    target: Level
    off_stops: float | None
    pm: float | None
    moves: tuple[Move, ...]
    together: tuple[Move, ...]
    controls: int
    change_stops: float
    forecast: Forecast
    warnings: tuple[str, ...]

    @property
    def words(self) -> str:
        """The advice in one sentence."""
        return main_words(self.off_stops, self.moves, self.together, controls=self.controls)


def expose(options: ExposeOptions, clock: Clock, out: TextIO) -> None:
    """Read a card and print what to do about it to `out`.

    Raises
    ------
    FirmwareError, OverlayError, OSError
        The feed, the profile, the spot or a setting is not to be had; one sentence says why.
    """
    written = written_spots([] if options.spot is None else [options.spot])
    with looking(options.feed, options.profile, options.overrides, options.frame, clock) as look:
        found = _measure(options, look, written)
        if options.output is Output.JSON:
            print(json.dumps(_as_object(found, look), indent=2, allow_nan=False), file=out)
            return
        for line in _lines(found, look):
            print(line, file=out)


def _measure(options: ExposeOptions, look: Look, written: Sequence[Any]) -> Exposure:
    profile, frame, yard = look.profile, look.frame, look.yard
    target = profile.target if options.target is None else parse_level(options.target)
    camera = profile.camera.standing_at(
        iso=options.iso, aperture=options.aperture, shutter=options.shutter, nd=options.nd
    )
    if options.mains is not None:
        camera = replace(camera, mains=choice(Mains, options.mains, "mains"))
    controls = controls_of(camera, look.info.rate)
    shooting = camera.shooting(look.info.rate)
    (place,) = look.places(written)
    spot = read_spot(frame, yard, place)
    off, pm = off_target(spot, target, yard)
    warnings = [*look.warnings, *spot.warnings, *controls.warnings]
    if spot.clipped > 10.0 * SPECK_SHARE:
        warnings.append("off_stops unknown: the spot is clipped; take light off until it is not")
        off = pm = None
    elif off is None:
        warnings.append("off_stops unknown: the spot has no light, or the target is out of reach")
    moves, together = _moves(off, controls, shooting)
    change = _change(off, moves, together, controls)
    census = take_census(frame, yard, Wants.LEVELS | Wants.RGB | Wants.CLIPPING)
    found = read_range(frame, yard, census, profile.speck_percent)
    forecast = foresee(change, frame, yard, census, found, profile.speck_percent)
    warnings += [*forecast.warnings, *present_notes(controls.controls, shooting)]
    if change > 0.0 and profile.clip is None and profile.curve.family is Family.LOG:
        warnings.append(
            "the profile gives no clip, so the top of the curve was taken: the camera may clip "
            "lower than the forecast says"
        )
    return Exposure(
        spot=spot,
        target=target,
        off_stops=off,
        pm=pm,
        moves=moves,
        together=together,
        controls=len(controls.controls),
        change_stops=change,
        forecast=forecast,
        warnings=tuple(dict.fromkeys(warnings)),
    )


def _moves(
    off: float | None, controls: Controls, shooting: Shooting
) -> tuple[tuple[Move, ...], tuple[Move, ...]]:
    if off is None:
        return (), ()
    return (
        single_moves(off, controls.controls, shooting),
        joined_moves(off, controls.controls, shooting),
    )


def _change(
    off: float | None, moves: Sequence[Move], together: Sequence[Move], controls: Controls
) -> float:
    if together:
        return total_change(together)
    if moves:
        return moves[0].change_stops
    return 0.0 if off is None or controls.controls else -off


def _value(setting: Setting) -> float | int | str:
    """As the command line takes it: a whole number without a point."""
    value = setting.value
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _move_object(move: Move) -> dict[str, Any]:
    return {
        "control": move.kind.value,
        "from": _value(move.start),
        "to": _value(move.to),
        "steps": move.steps,
        "change_stops": finite(move.change_stops),
        "residual_stops": finite(move.residual_stops),
        "notes": list(move.notes),
    }


def _as_object(found: Exposure, look: Look) -> dict[str, Any]:
    """The object of `--json`: keys are a public interface, as in `firmware.readout`."""
    frame, spot, forecast = look.frame, found.spot, found.forecast
    shares = forecast.clipped_rgb
    return {
        "schema": SCHEMA,
        "feed": feed_object(look.info, frame.signal, (frame.columns, frame.rows), frame.number),
        "profile": profile_object(look.profile),
        "spot": {
            "x": spot.place.column,
            "y": spot.place.row,
            "size": spot.place.size,
            "percent": finite(spot.percent),
            "percent_pm": finite(spot.percent_pm),
            "stops": finite(spot.stops),
            "stops_pm": finite(spot.stops_pm),
        },
        "target": str(found.target),
        "off_stops": finite(found.off_stops),
        "pm": finite(found.pm),
        "moves": [_move_object(move) for move in found.moves],
        "together": [_move_object(move) for move in found.together],
        "advice": found.words,
        "forecast": {
            "change_stops": finite(found.change_stops),
            "brightest": finite(forecast.brightest_stops),
            "brightest_pm": finite(forecast.brightest_pm),
            "darkest": finite(forecast.darkest_stops),
            "darkest_pm": finite(forecast.darkest_pm),
            "clips": forecast.clips,
            "sinks": forecast.sinks,
            "clipped": None
            if shares is None
            else {name: finite(share) for name, share in zip("rgb", shares, strict=True)},
        },
        "warnings": list(found.warnings),
    }


def _lines(found: Exposure, look: Look) -> list[str]:
    spot, at = found.spot, found.spot.place
    heading = (
        f"{look.info.name}, frame {look.frame.number}: spot at {at.column},{at.row},{at.size} "
        f"{stops_text(spot.stops, spot.stops_pm)} st, "
        f"{percent_text(spot.percent, spot.percent_pm)} %; target {found.target}; "
        f"{look.profile.curve.name}"
    )
    out = [
        heading,
        f"Off {stops_text(found.off_stops, found.pm)} st: {off_words(found.off_stops)}.",
        f"{found.words[:1].upper()}{found.words[1:]}.",
    ]
    others = found.moves if found.together else found.moves[1:]
    for move in others:
        rest = stops_text(move.residual_stops)
        out.append(f"  or {move_words(move)}, leaves {rest} st{_noted(move)}")
    for move in found.together or found.moves[:1]:
        out += [f"  {move.to.label}: {note}." for note in move.notes]
    foreseen = "; ".join(forecast_words(found.forecast))
    out.append(f"{foreseen[:1].upper()}{foreseen[1:]}.")
    return [*out, *(f"Note: {warning}." for warning in found.warnings)]


def _noted(move: Move) -> str:
    return f" ({'; '.join(move.notes)})" if move.notes else ""
