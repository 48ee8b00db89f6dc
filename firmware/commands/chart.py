"""`midgrey chart`: a chart's colours against what they should be, or two looks on one chart."""

import json
from typing import TYPE_CHECKING, Any, TextIO

from firmware.charting import ChartAnswer, chart_object, looks_object, read_look
from firmware.clock import Clock
from firmware.readout import SCHEMA
from firmware.wording import fine, stops_text
from firmware.written.options import ChartOptions, Output
from overlays.measure.chart.looks import LooksCompared, compare_looks
from overlays.measure.chart.patch import PatchReading

if TYPE_CHECKING:
    from rich.table import Table


def chart(options: ChartOptions, clock: Clock, out: TextIO) -> None:
    """Read a chart, or the same under two looks, and print what it says to `out`.

    Raises
    ------
    FirmwareError, OverlayError, OSError
        The feed, the profile or the reference is not to be had, or there is no chart that can be
        read; one sentence says why.
    """
    first = read_look(options, options.feed, options.profile, clock)
    second = looks = None
    if options.against is not None or options.against_profile is not None:
        second = read_look(
            options,
            options.against or options.feed,
            options.against_profile or options.profile,
            clock,
        )
        looks = compare_looks(first.reading, second.reading)
    if options.output is Output.JSON:
        found: dict[str, Any] = {"schema": SCHEMA, **chart_object(first)}
        if second is not None and looks is not None:
            found["against"] = chart_object(second)
            found["looks"] = looks_object(looks)
        print(json.dumps(found, indent=2, allow_nan=False), file=out)
    elif second is not None and looks is not None:
        _print_looks(first, second, looks, out)
    else:
        _print_chart(first, out)
    # Last, so that a full card costs nobody the reading.
    if options.picture is not None:
        from firmware.chart_picture import save_picture  # noqa: PLC0415 - loads the screen

        save_picture(options.picture, first, second, looks)


def _print_chart(answer: ChartAnswer, out: TextIO) -> None:
    from rich.console import Console  # noqa: PLC0415 - not needed for --json

    console = Console(file=out, highlight=False, soft_wrap=False)
    reading = answer.reading
    console.print(
        f"{_heading(answer)}: {reading.reference.name}, {reading.held.value}", markup=False
    )
    console.print(_patch_table(reading.patches))
    worst = reading.worst
    row = " ".join(stops_text(reading.patches[n].stops_off) for n in reading.neutrals)
    for line in (
        f"Mean ΔE00 {reading.mean_de00:.1f}, worst {worst.name} {worst.de00 or 0.0:.1f}",
        f"Greys from light to dark, stops off: {row}",
        f"Evenness of the light: {reading.evenness.fall_stops:.2f} st across the chart",
        f"L*a*b* under D65, scaled to the {reading.scaling.value}",
    ):
        console.print(line, markup=False)
    for warning in answer.warnings:
        console.print(f"Note: {warning}.", markup=False)


def _heading(answer: ChartAnswer) -> str:
    return (
        f"{answer.info.name}, frame {answer.number}, {answer.profile.curve.name} in "
        f"{answer.gamut.name}"
    )


def _patch_table(patches: tuple[PatchReading, ...]) -> "Table":
    table = _table("patch", "ΔE00", "hue °", "chroma ×", "stops off", "L* a* b*", "should be")
    for patch in patches:
        table.add_row(
            patch.name,
            "clipped" if patch.de00 is None else f"{patch.de00:.1f} ±{fine(patch.de00_pm or 0, 1)}",
            _signed(patch.hue_error_deg, 1),
            "" if patch.chroma_ratio is None else f"{patch.chroma_ratio:.2f}",
            "" if patch.stops_off is None else stops_text(patch.stops_off),
            "" if patch.lab is None else _lab(patch.lab),
            _lab(patch.reference_lab),
        )
    return table


def _table(*headings: str) -> "Table":
    from rich import box  # noqa: PLC0415 - not needed for --json
    from rich.table import Table  # noqa: PLC0415 - the same

    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, 1, 0, 0))
    for place, heading in enumerate(headings):
        table.add_column(heading, justify="left" if place == 0 else "right", no_wrap=True)
    return table


def _lab(lab: tuple[float, float, float]) -> str:
    return " ".join(f"{round(value) + 0:d}" for value in lab)


def _signed(value: float | None, digits: int) -> str:
    return "" if value is None else f"{round(value, digits) + 0.0:+.{digits}f}"


def _print_looks(
    first: ChartAnswer, second: ChartAnswer, looks: LooksCompared, out: TextIO
) -> None:
    from rich.console import Console  # noqa: PLC0415 - not needed for --json

    console = Console(file=out, highlight=False, soft_wrap=False)
    console.print(f"First:  {_heading(first)}", markup=False)
    console.print(f"Second: {_heading(second)}", markup=False)
    hues = _table("hue", "patches", "saturation ×", "turned °", "lighter L*")
    for hue in looks.hues:
        hues.add_row(
            hue.hue,
            str(hue.patches),
            f"{hue.saturation:.2f}",
            _signed(hue.turn_deg, 1),
            _signed(hue.lightness, 1),
        )
    console.print(hues)
    table = _table("patch", "hue", "saturation ×", "turned °", "lighter L*", "ΔE00")
    for patch in looks.patches:
        table.add_row(
            patch.name,
            patch.hue,
            "" if patch.saturation is None else f"{patch.saturation:.2f}",
            _signed(patch.turn_deg, 1),
            _signed(patch.lightness, 1),
            f"{patch.de00:.1f}",
        )
    console.print(table)
    console.print(f"Mean ΔE00 between the two: {looks.mean_de00:.1f}", markup=False)
    for warning in dict.fromkeys((*first.warnings, *second.warnings, *looks.warnings)):
        console.print(f"Note: {warning}.", markup=False)
