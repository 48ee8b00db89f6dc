"""`midgrey pins`: lighting ratios between spots, and how even a surface is lit."""

import json
from typing import Any, TextIO

from firmware.clock import Clock
from firmware.errors import ArgumentError
from firmware.exposure_options import PinsOptions
from firmware.opening.looking import Look, looking
from firmware.readout import SCHEMA, feed_object, finite, profile_object
from firmware.wording import fine, percent_text, stops_text
from firmware.written.options import Output
from firmware.written.places import parse_spot, pins_of
from overlays.measure.pins.lighting import MOST_PINS, Evenness, Ratio, all_ratios, read_evenness
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot


def pins(options: PinsOptions, clock: Clock, out: TextIO) -> None:
    """Read pins of a frame and print their ratios to `out`.

    Raises
    ------
    FirmwareError, OverlayError, OSError
        The feed, the profile or a place is not to be had; one sentence says why.
    """
    written = [parse_spot(text) for text in options.spots]
    if len(written) > MOST_PINS:
        raise ArgumentError(f"{len(written)} pins; at most {MOST_PINS} can be told apart")
    area = None if options.area is None else _area(options.area)
    with looking(options.feed, options.profile, options.overrides, options.frame, clock) as look:
        places = look.places(written or pins_of(look.profile))
        if not places and area is None:
            raise ArgumentError(
                "no pin was given: write --at X,Y for each, --even X,Y,WIDTH,HEIGHT for an area, "
                "or pins in the profile"
            )
        spots = [read_spot(look.frame, look.yard, place) for place in places]
        even = None if area is None else read_evenness(look.frame, look.yard, area)
        if options.output is Output.JSON:
            print(json.dumps(_as_object(look, spots, even), indent=2, allow_nan=False), file=out)
            return
        for line in _lines(look, spots, even):
            print(line, file=out)


def _area(text: str) -> SpotPlace:
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 4 or not all(part.isascii() and part.isdecimal() for part in parts):
        raise ArgumentError(
            f"--even {text!r} is no area; write its centre and size in pixels, X,Y,WIDTH,HEIGHT, "
            "as 960,540,1200,800"
        )
    column, row, width, height = (int(part) for part in parts)
    return SpotPlace(column, row, width, height)


def _ratios(spots: list[SpotReading]) -> dict[tuple[int, int], Ratio | None]:
    return all_ratios(dict(enumerate(spots, start=1)))


def _as_object(look: Look, spots: list[SpotReading], even: Evenness | None) -> dict[str, Any]:
    """The object of `--json`: keys are a public interface, as in `firmware.readout`."""
    frame = look.frame
    warnings = [*look.warnings, *(() if even is None else even.warnings)]
    warnings += [f"pin {n}: {each}" for n, spot in enumerate(spots, 1) for each in spot.warnings]
    return {
        "schema": SCHEMA,
        "feed": feed_object(look.info, frame.signal, (frame.columns, frame.rows), frame.number),
        "profile": profile_object(look.profile),
        "pins": [
            {
                "pin": number,
                "x": spot.place.column,
                "y": spot.place.row,
                "size": spot.place.size,
                "percent": finite(spot.percent),
                "stops": finite(spot.stops),
                "stops_pm": finite(spot.stops_pm),
            }
            for number, spot in enumerate(spots, start=1)
        ],
        "ratios": [
            {
                "pins": list(pair),
                "stops": None if ratio is None else finite(ratio.stops),
                "pm": None if ratio is None else finite(ratio.pm),
                "ratio": None if ratio is None else finite(ratio.ratio),
                "key_over_fill_stops": None if ratio is None else finite(ratio.key_over_fill_stops),
            }
            for pair, ratio in _ratios(spots).items()
        ],
        "evenness": None
        if even is None
        else {
            "within_stops": finite(even.within_stops),
            "within_pm": finite(even.within_pm),
            "spread_stops": finite(even.spread_stops),
            "pm": finite(even.spread_pm),
            "brightest": list(even.brightest),
            "darkest": list(even.darkest),
            "map_stops": [[finite(float(cell)) for cell in row] for row in even.map_stops],
        },
        "warnings": list(dict.fromkeys(warnings)),
    }


def _lines(look: Look, spots: list[SpotReading], even: Evenness | None) -> list[str]:
    out = [f"{look.info.name}, frame {look.frame.number}; {look.profile.curve.name}"]
    for number, spot in enumerate(spots, start=1):
        out.append(
            f"Pin {number} at {spot.place.column},{spot.place.row}: "
            f"{stops_text(spot.stops, spot.stops_pm)} st, {percent_text(spot.percent)} %"
        )
    for (one, other), ratio in _ratios(spots).items():
        if ratio is None:
            out.append(f"{one} to {other}: unknown, a pin has no light above black")
        else:
            out.append(f"{one} to {other}: {stops_text(ratio.stops, ratio.pm)} st, {ratio.spoken}")
    if even is not None:
        out += _even_lines(even)
    notes = [*look.warnings, *(() if even is None else even.warnings)]
    return [*out, *(f"Note: {each}." for each in notes)]


def _even_lines(even: Evenness) -> list[str]:
    out = ["How even is unknown; each cell against the mean, in stops:"]
    if even.within_stops is not None:
        spread = even.spread_stops or 0.0
        doubt, spread_doubt = "±?", "±?"
        if even.within_pm is not None and even.spread_pm is not None:
            doubt, spread_doubt = f"±{fine(even.within_pm, 2)}", f"±{fine(even.spread_pm, 2)}"
        words = f"Even within ±{even.within_stops:.2f} st (known to {doubt}), darkest to brightest "
        words += f"{spread:.2f} {spread_doubt} st; each cell against the mean, in stops:"
        out = [words]
    for row in even.map_stops:
        cells = ("   none" if cell != cell else f"{cell + 0.0:+7.2f}" for cell in row)  # noqa: PLR0124 - nan
        out.append(" ".join(cells))
    return out
