"""What `midgrey chart` prints."""

import math

from firmware.answers.table import Line, Table, notes
from firmware.answers.terminal_numbers import signed, stops_words
from firmware.instruments.chart.answer import ChartAnswer, Look
from overlays.measure.chart.chart_patch import PatchReading
from overlays.measure.chart.chart_reading import ChartReading, Scaling
from overlays.measure.chart.lit import ChartEvenness
from overlays.measure.chart.looks import HueChange, LooksCompared, PatchChange
from overlays.measure.chart.reference import ChartReference
from overlays.wording.numbers import pm_text
from overlays.wording.reasons import Reason

PATCHES = ("patch", "ΔE00", "hue °", "chroma ×", "stops off", "L* a* b*", "should be")
HUES = ("hue", "patches", "saturation ×", "turned °", "lighter L*")
CHANGES = ("patch", "hue", "saturation ×", "turned °", "lighter L*", "ΔE00")


def chart_lines(answer: ChartAnswer) -> list[Line]:
    """A table of patches, or of two looks on them, warnings."""
    if answer.against is None or answer.looks is None:
        return _one(answer.look)
    return _two(answer.look, answer.against, answer.looks)


def _one(look: Look) -> list[Line]:
    reading = look.reading
    worst, light = reading.worst, reading.evenness
    greys = [reading.patches[n] for n in reading.neutrals]
    row = " ".join(off_words(grey) for grey in greys)
    farthest = f"worst {worst.name} {worst.de00 or 0.0:.1f}"
    span = "patch" if reading.read_of is None else "patch that can be read"
    return [
        f"{_heading(look)}: {_named(reading.reference)}, {reading.held.value}",
        Table(PATCHES, tuple(_patch(patch) for patch in reading.patches)),
        f"Mean ΔE00 {reading.mean_de00:.1f}{_of(reading)}, {farthest}",
        f"Greys from light to dark, stops off: {row}",
        f"Evenness of the light: {_fall(light)} across",
        f"Its middle against its corners: {signed(light.middle_stops, 2)} st",
        f"Tones: {light.tones_stops:.2f} st off from the lightest to the darkest {span}",
        *_cast(reading),
        f"L*a*b* under D65, scaled to the {reading.scaling.value}",
        *notes(look.warnings),
    ]


def _of(reading: ChartReading) -> str:
    """Of how many patches a mean is, where it is not of all."""
    counts = reading.read_of
    return "" if counts is None else f" of the {counts[0]} of {counts[1]} patches that can be read"


def _cast(reading: ChartReading) -> list[str]:
    """What the greys are off balance by, where it was taken out and would not be seen else."""
    if reading.scaling is not Scaling.NEUTRALS or not reading.neutrals:
        return []
    red, green, blue = (-math.log2(gain) for gain in reading.gains)
    off = f"red {signed(red - green)} st, blue {signed(blue - green)} st against green"
    return [f"Cast of its greys, taken out before colours are compared: {off}"]


def _fall(light: ChartEvenness) -> str:
    if light.fall_pm is None or not math.isfinite(light.fall_pm):
        return f"{light.fall_stops:.2f} st (too few patches to say how surely)"
    return f"{light.fall_stops:.2f} {pm_text(light.fall_pm, 2)} st"


def _named(reference: ChartReference) -> str:
    return " ".join(each for each in (reference.name, reference.edition) if each)


def _two(first: Look, second: Look, looks: LooksCompared) -> list[Line]:
    return [
        f"First:  {_heading(first)}",
        f"Second: {_heading(second)}",
        Table(HUES, tuple(_hue(hue) for hue in looks.hues)),
        Table(CHANGES, tuple(_change(patch) for patch in looks.patches)),
        f"Mean ΔE00 between the two: {looks.mean_de00:.1f}",
        *notes([*first.warnings, *second.warnings, *looks.warnings]),
    ]


def _heading(look: Look) -> str:
    origin = look.origin
    return (
        f"{origin.feed_name}, frame {origin.number}, {origin.profile.curve.name} in "
        f"{origin.gamut.name}"
    )


def _patch(patch: PatchReading) -> tuple[str, ...]:
    why = patch.why or Reason.CLIPPED
    return (
        patch.name,
        why.words if patch.de00 is None else f"{patch.de00:.1f} {pm_text(patch.de00_pm, 1)}",
        signed(patch.hue_error_deg, 1),
        _factor(patch.chroma_ratio),
        "" if patch.de00 is None else off_words(patch),
        "" if patch.lab is None else _lab(patch.lab),
        _lab(patch.reference_lab),
    )


def off_words(patch: PatchReading) -> str:
    """How far a patch's luminance is off, or why nobody knows."""
    return stops_words(patch.stops_off, unit=False, why=patch.why or Reason.NO_LIGHT)


def _hue(hue: HueChange) -> tuple[str, ...]:
    return (
        hue.hue,
        str(hue.patches),
        _factor(hue.saturation),
        signed(hue.turn_deg, 1),
        signed(hue.lightness, 1),
    )


def _change(patch: PatchChange) -> tuple[str, ...]:
    return (
        patch.name,
        patch.hue,
        _factor(patch.saturation),
        signed(patch.turn_deg, 1),
        signed(patch.lightness, 1),
        f"{patch.de00:.1f}",
    )


def _factor(value: float | None) -> str:
    return "" if value is None else f"{value:.2f}"


def _lab(lab: tuple[float, float, float]) -> str:
    return " ".join(f"{round(value) + 0:d}" for value in lab)
