"""The reports themselves: readings and wishes to one number, one sentence and a few rows."""

import math
from collections.abc import Mapping, Sequence

from firmware.reported import Scene, Wishes
from overlays.draw.moment.more import Report, Row, Tone
from overlays.draw.wording import UNKNOWN, pm_text, signed, stops_text
from overlays.measure.chips.three_chip import Chip, ChipReading, chip_words, read_chips
from overlays.measure.expose.advice import (
    Move,
    joined_moves,
    off_target,
    single_moves,
    total_change,
)
from overlays.measure.expose.advice_words import forecast_words, main_words, off_words
from overlays.measure.expose.sequences import Control
from overlays.measure.match.match import Match, compare, pair_of
from overlays.measure.match.match_words import match_words
from overlays.measure.pins.lighting import Ratio, ratio_of
from overlays.measure.range.forecast import Forecast, foresee
from overlays.measure.spot.spot import SPECK_SHARE, SpotReading
from overlays.measure.watch.change import Mood
from overlays.measure.watch.watch import TakeEvent, Watch, short_words
from overlays.signal.gamuts import default_gamut
from overlays.signal.quantities import Unit

LATEST = 6
"""Events that the column names."""


def advice_report(scene: Scene, wishes: Wishes) -> Report:
    """How far the spot is off the profile's target, and what to do about it."""
    spot, profile = scene.spot, wishes.profile
    heading = f"spot against {profile.target}".replace("-", "−")
    if spot is None:
        return Report(heading, UNKNOWN, "", "the spot cannot be read")
    off, pm = off_target(spot, profile.target, scene.yard)
    if spot.clipped > 10.0 * SPECK_SHARE:
        return Report(
            heading, UNKNOWN, "", "the spot is clipped: take light off until it is not", Tone.ALARM
        )
    if off is None:
        return Report(heading, UNKNOWN, "", "no light, or a target out of reach")
    shooting = profile.camera.shooting(0.0)
    moves = single_moves(off, wishes.controls, shooting)
    together = joined_moves(off, wishes.controls, shooting)
    rows = [
        _control_row(control, moves, is_chosen=index == wishes.chosen)
        for index, control in enumerate(wishes.controls)
    ]
    change = total_change(together) if together else moves[0].change_stops if moves else 0.0
    if not wishes.controls:
        change = -off
    foreseen = _forecast(scene, wishes, change)
    notes = list((together or moves)[0].notes if moves else ())
    if foreseen is not None:
        rows += _forecast_rows(foreseen)
        notes += foreseen.warnings[:1]
    return Report(
        heading,
        stops_text(off, pm),
        f"{pm_text(pm, 2)} st  ·  {off_words(off)}",
        main_words(off, moves, together, controls=len(wishes.controls)),
        rows=tuple(rows),
        notes=tuple(notes),
    )


def _control_row(control: Control, moves: Sequence[Move], *, is_chosen: bool) -> Row:
    found = next((move for move in moves if move.kind is control.kind), None)
    value = "stays"
    if found is not None:
        value = f"to {found.to.label}, rest {signed(found.residual_stops, 2)}"
    return Row(control.now.label, value, is_chosen=is_chosen)


def _forecast(scene: Scene, wishes: Wishes, change: float) -> Forecast | None:
    if scene.range is None or scene.census.rgb is None:
        return None
    return foresee(
        change,
        scene.frame,
        scene.yard,
        scene.census,
        scene.range,
        wishes.profile.speck_percent,
    )


def _forecast_rows(forecast: Forecast) -> list[Row]:
    bright, dark = (words.split(" then ") for words in forecast_words(forecast))
    return [
        Row(f"then {bright[0]}", bright[1], Tone.ALARM if forecast.clips else Tone.PLAIN),
        Row(f"then {dark[0]}", dark[1], Tone.ALARM if forecast.sinks else Tone.PLAIN),
    ]


def chips_report(scene: Scene, wishes: Wishes, spots: Mapping[int, SpotReading]) -> Report:
    """White, grey and black against their targets."""
    order = _chip_pins(wishes)
    if order is None or any(number not in spots for number in order):
        return Report(
            "three chips",
            UNKNOWN,
            "",
            "set three pins, on white, grey and black in this order: N sets one where the spot is",
        )
    chips = {chip: spots[number] for chip, number in zip(Chip, order, strict=True)}
    verdict = read_chips(chips, wishes.profile.chip_targets, scene.yard)
    rows = tuple(_chip_row(chip) for chip in verdict.chips)
    worst = max(
        verdict.chips,
        key=lambda c: math.inf if c.off is None else abs(c.off) / c.target.within.number,
    )
    main, unit = UNKNOWN, _unit(worst)
    if worst.off is not None:
        main = signed(worst.off, 2 if unit == "st" else 1)
    words, *more = chip_words(verdict)
    return Report(
        f"three chips: {worst.chip.value} is furthest off",
        main,
        f"{pm_text(worst.off_pm, 2)} {unit}",
        words,
        Tone.PLAIN if verdict.in_tolerance else Tone.ALARM,
        rows,
        tuple(more),
    )


def _chip_pins(wishes: Wishes) -> list[int] | None:
    """Numbers of the pins on white, grey and black: by their names, else the first three."""
    names = {pin.name.casefold(): number for number, pin in enumerate(wishes.pins, start=1)}
    if all(chip.value in names for chip in Chip):
        return [names[chip.value] for chip in Chip]
    return [1, 2, 3] if len(wishes.pins) >= 3 else None


def _unit(chip: ChipReading) -> str:
    return "%" if chip.target.at.unit is Unit.PERCENT else "st"


def _chip_row(chip: ChipReading) -> Row:
    if chip.off is None:
        return Row(chip.chip.value, UNKNOWN, Tone.ALARM)
    unit = _unit(chip)
    read = chip.spot.percent if unit == "%" else chip.spot.stops
    words = "fine" if chip.in_tolerance else "OFF"
    number = UNKNOWN if read is None else signed(read, 2 if unit == "st" else 1)
    value = f"{number} {unit}, off {signed(chip.off, 2)}: {words}"
    return Row(chip.chip.value, value, Tone.PLAIN if chip.in_tolerance else Tone.ALARM)


def pins_report(scene: Scene, wishes: Wishes, spots: Mapping[int, SpotReading]) -> Report:
    """Pin 1 against pin 2, and all others against pin 1."""
    if not wishes.pins or 1 not in spots:
        words = "N sets a pin where the spot is: the first two give the lighting ratio, tab "
        words += "asks how even the light is"
        return Report("pins", UNKNOWN, "", words)
    first = spots[1]
    second = spots.get(2, scene.spot)
    ratio = None if second is None else ratio_of(first, second)
    other = "pin 2" if 2 in spots else "the spot"
    rows = []
    for number, spot in spots.items():
        name = wishes.pins[number - 1].name
        label = f"{number} {name}".strip()
        value = f"{stops_text(spot.stops, spot.stops_pm)} st"
        if number > 1:
            value += f"   {_ratio_words(ratio_of(first, spot))}"
        rows.append(Row(label, value))
    main = UNKNOWN if ratio is None else signed(ratio.stops, 2)
    beside = "" if ratio is None else f"{pm_text(ratio.pm, 2)} st  ·  {ratio.spoken}"
    words = f"pin 1 against {other}"
    key = None if ratio is None else ratio.key_over_fill_stops
    if key is not None:
        words += f"; if {other} is lit by the fill alone, the key is {signed(key, 1)} st over it"
    return Report("lighting ratio", main, beside, words, rows=tuple(rows))


def _ratio_words(ratio: Ratio | None) -> str:
    return UNKNOWN if ratio is None else f"1 over it {signed(ratio.stops, 2)}, {ratio.spoken}"


def match_pins(
    a: Mapping[int, SpotReading], b: Mapping[int, SpotReading], wishes: Wishes
) -> tuple[list[int], Match]:
    """The numbers of the pins that both cameras have, and camera B, which is live, against A."""
    shared = [number for number in b if number in a]
    profile = wishes.profile
    gamut = profile.gamut or default_gamut(profile.curve)
    pairs = [pair_of(a[number], b[number]) for number in shared]
    return shared, compare(pairs, gamut, wishes.colour.dial(profile.dial))


def match_report(numbers: Sequence[int], found: Match | None) -> Report:
    """Camera B against camera A; None before that was taken."""
    if found is None:
        return Report(
            "match",
            UNKNOWN,
            "",
            "show camera A and press M: its pins, trace and chroma are kept; then show camera B",
        )
    rows = []
    for number, pair in zip(numbers, found.pairs, strict=True):
        if pair.rgb_stops is None:
            rows.append(Row(str(number), pair.why_not, Tone.QUIET))
            continue
        rgb = "  ".join(signed(each, 2) for each in pair.rgb_stops)
        rows.append(Row(f"{number} RGB", rgb))
    first, *more = match_words(found)
    exposure = found.exposure_stops
    return Report(
        "exposure to add on camera B",
        UNKNOWN if exposure is None else signed(exposure, 2),
        "" if exposure is None else f"{pm_text(found.exposure_pm, 2)} st  ·  rows: B − A",
        first,
        rows=tuple(rows),
        notes=tuple(more),
    )


def watch_report(watch: Watch | None, events: Sequence[tuple[TakeEvent, str]]) -> Report:
    """Where the pins are from their mark, and what happened."""
    if watch is None:
        return Report("watch", UNKNOWN, "", "M marks the light as it is now")
    worst = watch.worst_off_stops
    rows = tuple(Row(time, short_words(event)) for event, time in reversed(events[-LATEST:]))
    if worst is None:
        return Report("watch", UNKNOWN, "", watch.mood.value, Tone.QUIET, rows)
    pin, off = worst
    allowed = watch.tolerance
    beyond = abs(off[0]) > allowed.level_stops or max(map(abs, off[1:])) > allowed.balance_stops
    tone = Tone.ALARM if beyond or watch.mood is Mood.CHANGING else Tone.PLAIN
    words = watch.mood.value
    if beyond:
        words += f": pin {pin} is beyond ±{allowed.level_stops:.2f} st"
    beside = f"R {signed(off[1], 2)}  ·  B {signed(off[2], 2)} against G"
    heading = f"watch: pin {pin} off its mark"
    return Report(heading, signed(off[0], 2), beside, words, tone, rows)
