"""`midgrey match`: what brings camera B to camera A, and what remains as an ASC CDL."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TextIO

import numpy as np

from firmware.clock import Clock
from firmware.errors import ArgumentError
from firmware.exposure_options import MatchOptions
from firmware.opening.gamut_choice import choose_dial, choose_gamut
from firmware.opening.looking import Look, looking
from firmware.readout import SCHEMA, feed_object, finite, profile_object
from firmware.remainder import remainder_text
from firmware.system.files import save, unsaved
from firmware.wording import stops_text
from firmware.written.options import Output
from firmware.written.places import CENTRE, parse_spot, pins_of
from overlays.measure.match.match import Match, Pair, Remainder, compare, pair_of, remainder
from overlays.measure.match.match_words import match_words
from overlays.measure.spot.spot import SpotReading, read_spot


@dataclass(frozen=True, slots=True, eq=False)
class _Side:
    """One camera: its look, its pins."""

    look: Look
    spots: list[SpotReading]


def match(options: MatchOptions, clock: Clock, out: TextIO) -> None:
    """Compare two feeds pin by pin and print what brings B to A to `out`.

    Raises
    ------
    FirmwareError, OverlayError
        A feed, a profile or a pin is not to be had, or the file cannot be written.
    """
    a = _side(options, clock)
    b = _side(options, clock, of_b=len(a.spots))
    gamut = choose_gamut(options.gamut_b, b.look.profile, b.look.info)
    dial = choose_dial(options.dial_b, None, b.look.profile)
    pairs = [pair_of(one, two) for one, two in zip(a.spots, b.spots, strict=True)]
    found = compare(pairs, gamut.gamut, dial)
    rest = remainder(found, b.look.profile.curve)
    warnings = [f"A: {each}" for each in a.look.warnings]
    warnings += [f"B: {each}" for each in b.look.warnings]
    warnings += [*(gamut.warnings if dial is not None else ()), *found.warnings]
    if dial is None:
        warnings.append("dial_to unknown: say what B's balance is dialled to with --dial-b")
    if options.cdl is not None and rest is None:
        warnings.append(f"{options.cdl} was not written: no pin can be compared")
    if options.output is Output.JSON:
        answer = _as_object(a, b, found, rest, warnings)
        print(json.dumps(answer, indent=2, allow_nan=False), file=out)
    else:
        for line in _lines(a, b, found, rest):
            print(line, file=out)
        for warning in dict.fromkeys(warnings):
            print(f"Note: {warning}.", file=out)
    # Last, so that a full card costs nobody the reading.
    if options.cdl is not None and rest is not None:
        _write(options.cdl, rest, b.look)


def _side(options: MatchOptions, clock: Clock, *, of_b: int | None = None) -> _Side:
    """Camera A, or camera B with as many pins as A has."""
    feed, profile, overrides = options.feed_a, options.profile_a, options.overrides_a
    texts = options.spots
    if of_b is not None:
        feed, overrides = options.feed_b, options.overrides_b
        profile = options.profile_b or options.profile_a
        texts = options.spots_b or options.spots
    with looking(feed, profile, overrides, options.frame, clock) as look:
        written = [parse_spot(text) for text in texts] or pins_of(look.profile) or [CENTRE]
        if of_b is not None and len(written) != of_b:
            raise ArgumentError(
                f"camera A has {of_b} pins and camera B {len(written)}; give as many --at-b as --at"
            )
        return _Side(look, [read_spot(look.frame, look.yard, p) for p in look.places(written)])


def _write(path: Path, rest: Remainder, look: Look) -> None:
    try:
        save(path, remainder_text(rest, look.profile.curve, path).encode())
    except OSError as fault:
        raise ArgumentError(unsaved(path, "correction", fault)) from fault


def _pair_object(number: int, pair: Pair, found: Match) -> dict[str, Any]:
    def of(values: Any) -> dict[str, float | None] | None:  # noqa: ANN401 - a row of three
        if values is None:
            return None
        return {name: finite(float(v)) for name, v in zip("rgb", values, strict=True)}

    remains = None if found.remains_stops is None else found.remains_stops[number - 1]
    return {
        "pin": number,
        "a": {"x": pair.a.place.column, "y": pair.a.place.row, "stops": finite(pair.a.stops)},
        "b": {"x": pair.b.place.column, "y": pair.b.place.row, "stops": finite(pair.b.stops)},
        "difference_stops": of(pair.rgb_stops),
        "difference_pm": of(pair.rgb_pm),
        "luminance_stops": finite(pair.luminance_stops),
        "remains_stops": of(remains) if pair.rgb_stops is not None else None,
    }


def _as_object(
    a: _Side, b: _Side, found: Match, rest: Remainder | None, warnings: list[str]
) -> dict[str, Any]:
    """The object of `--json`: keys are a public interface, as in `firmware.readout`."""
    sides = {
        name: {
            "feed": feed_object(
                side.look.info,
                side.look.frame.signal,
                (side.look.frame.columns, side.look.frame.rows),
                side.look.frame.number,
            ),
            "profile": profile_object(side.look.profile),
        }
        for name, side in (("a", a), ("b", b))
    }
    cdl = None if rest is None else rest.cdl
    return {
        "schema": SCHEMA,
        **sides,
        "pins": [_pair_object(n, pair, found) for n, pair in enumerate(found.pairs, start=1)],
        "exposure_stops": finite(found.exposure_stops),
        "exposure_pm": finite(found.exposure_pm),
        "balance": {
            "r_stops": finite(found.r_stops),
            "b_stops": finite(found.b_stops),
            "pm": finite(found.balance_pm),
            "dial_to": finite(found.dial_to),
            "dial_to_pm": finite(found.dial_pm),
            "tint": finite(found.tint),
        },
        "remains_stops": finite(found.worst_stops),
        "cdl": None
        if cdl is None or rest is None
        else {
            "slope": list(cdl.slope),
            "offset": list(cdl.offset),
            "power": list(cdl.power),
            "saturation": cdl.saturation,
            "signal": b.look.profile.curve.name,
            "leaves_stops": finite(_worst_left(rest)),
        },
        "advice": list(match_words(found)),
        "warnings": list(dict.fromkeys(warnings)),
    }


def _worst_left(rest: Remainder) -> float:
    return float(np.max(np.abs(rest.left_stops)))


def _lines(a: _Side, b: _Side, found: Match, rest: Remainder | None) -> list[str]:
    out = [
        f"A: {a.look.info.name}, {a.look.profile.curve.name}",
        f"B: {b.look.info.name}, {b.look.profile.curve.name}",
    ]
    for number, pair in enumerate(found.pairs, start=1):
        if pair.rgb_stops is None:
            out.append(f"Pin {number}: {pair.why_not}")
            continue
        rgb = " ".join(stops_text(each) for each in pair.rgb_stops)
        out.append(f"Pin {number}: B against A {stops_text(pair.luminance_stops)} st, R G B {rgb}")
    out += [f"{each[:1].upper()}{each[1:]}." for each in match_words(found)]
    if rest is not None and not rest.cdl.is_nothing:
        cdl = rest.cdl
        rows = (("slope", cdl.slope), ("offset", cdl.offset), ("power", cdl.power))
        sop = ", ".join(f"{name} {' '.join(f'{v:.4f}' for v in three)}" for name, three in rows)
        out.append(f"What remains as a CDL in {b.look.profile.curve.name}: {sop}, ")
        out[-1] += f"saturation {cdl.saturation:.4f}; it leaves {_worst_left(rest):.2f} st"
    return out
