"""`midgrey chips`: white, grey and black at once, and what explains them where they are off."""

import json
from typing import Any, TextIO

from firmware.clock import Clock
from firmware.errors import ArgumentError
from firmware.exposure_options import PinsOptions
from firmware.opening.looking import Look, looking
from firmware.readout import SCHEMA, feed_object, finite, profile_object
from firmware.wording import percent_text, stops_text
from firmware.written.options import Output
from firmware.written.places import parse_spot, pins_of
from overlays.measure.chips.three_chip import (
    Chip,
    ChipReading,
    ChipVerdict,
    advice_of,
    chip_words,
    read_chips,
)
from overlays.measure.spot.spot import read_spot
from overlays.signal.quantities import Unit


def chips(options: PinsOptions, clock: Clock, out: TextIO) -> None:
    """Read three chips of a frame and print what explains them to `out`.

    Raises
    ------
    FirmwareError, OverlayError, OSError
        The feed, the profile or a place is not to be had; one sentence says why.
    """
    written = [parse_spot(text) for text in options.spots]
    if len(written) not in {0, 3}:
        raise ArgumentError(
            f"{len(written)} chips; three are needed, in the order white, grey, black: "
            "--at X,Y --at X,Y --at X,Y"
        )
    with looking(options.feed, options.profile, options.overrides, options.frame, clock) as look:
        places = look.places(written or pins_of(look.profile, [chip.value for chip in Chip]))
        if len(places) != 3:
            raise ArgumentError(
                "the profile has no pins named white, grey and black; give --at three times"
            )
        spots = {
            chip: read_spot(look.frame, look.yard, place)
            for chip, place in zip(Chip, places, strict=True)
        }
        verdict = read_chips(spots, look.profile.chip_targets, look.yard)
        if options.output is Output.JSON:
            print(json.dumps(_as_object(look, verdict), indent=2, allow_nan=False), file=out)
            return
        for line in _lines(look, verdict):
            print(line, file=out)


def _unit(chip: ChipReading) -> str:
    return "%" if chip.target.at.unit is Unit.PERCENT else "st"


def _as_object(look: Look, verdict: ChipVerdict) -> dict[str, Any]:
    """The object of `--json`: keys are a public interface, as in `firmware.readout`."""
    frame = look.frame
    return {
        "schema": SCHEMA,
        "feed": feed_object(look.info, frame.signal, (frame.columns, frame.rows), frame.number),
        "profile": profile_object(look.profile),
        "chips": [
            {
                "chip": chip.chip.value,
                "x": chip.spot.place.column,
                "y": chip.spot.place.row,
                "size": chip.spot.place.size,
                "percent": finite(chip.spot.percent),
                "stops": finite(chip.spot.stops),
                "stops_pm": finite(chip.spot.stops_pm),
                "target": str(chip.target.at),
                "within": str(chip.target.within).lstrip("+"),
                "off": finite(chip.off),
                "off_pm": finite(chip.off_pm),
                "unit": _unit(chip),
                "in_tolerance": chip.in_tolerance,
            }
            for chip in verdict.chips
        ],
        "in_tolerance": verdict.in_tolerance,
        "explanations": [
            {
                "causes": [cause.value for cause in each.causes],
                "amounts": [finite(amount) for amount in each.amounts],
                "advice": advice_of(each),
            }
            for each in verdict.explanations
        ],
        "advice": list(chip_words(verdict)),
        "warnings": list(dict.fromkeys([*look.warnings, *verdict.warnings])),
    }


def _lines(look: Look, verdict: ChipVerdict) -> list[str]:
    out = [f"{look.info.name}, frame {look.frame.number}; {look.profile.curve.name}"]
    for chip in verdict.chips:
        percent = chip.target.at.unit is Unit.PERCENT
        read = (
            f"{percent_text(chip.spot.percent, chip.spot.percent_pm)} %"
            if percent
            else f"{stops_text(chip.spot.stops, chip.spot.stops_pm)} st"
        )
        off = "unknown" if chip.off is None else f"off {chip.off + 0.0:+.2f} {_unit(chip)}"
        word = "fine" if chip.in_tolerance else "OFF"
        within = str(chip.target.within).lstrip("+")
        out.append(
            f"{chip.chip.value.capitalize():5} {read}, target {chip.target.at} ± {within}, {off}: "
            f"{word}"
        )
    out += [f"{each[:1].upper()}{each[1:]}." for each in chip_words(verdict)]
    said = set(chip_words(verdict))
    notes = [each for each in (*look.warnings, *verdict.warnings) if each not in said]
    return [*out, *(f"Note: {each}." for each in notes)]
