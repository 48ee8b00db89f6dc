"""What the chart view says beside the picture."""

from firmware.instruments.chart.answer import ChartAnswer
from overlays.draw.moment.report import Report, Row, Tone
from overlays.errors import ChartError
from overlays.wording.numbers import UNKNOWN, pm_text, stops_text


def chart_report(answer: ChartAnswer) -> Report:
    """The mean error, large; the worst patch, the greys and the light below."""
    reading = answer.reading
    if reading is None:
        tone = Tone.ALARM if isinstance(answer.fault, ChartError) else Tone.PLAIN
        return Report("chart", UNKNOWN, "", str(answer.fault), tone)
    counts = reading.read_of
    worst, light, edition = reading.worst, reading.evenness, reading.reference.edition
    greys = (reading.patches[n] for n in reading.neutrals)
    rows = (
        Row("worst", f"{worst.name} {worst.de00 or 0.0:.1f}"),
        *([Row("edition", edition)] if edition else []),
        Row(
            "light across, st",
            f"{light.fall_stops:.2f} {pm_text(light.fall_pm, 2)}",
            short="light, st",
        ),
        Row("tones, st", f"{light.tones_stops:.2f}"),
        *(
            Row(
                f"{grey.name}, st",
                stops_text(grey.stops_off) if grey.why is None else grey.why.words,
            )
            for grey in greys
        ),
    )
    return Report(
        reading.reference.name,
        f"{reading.mean_de00:.1f}",
        "mean ΔE00" if counts is None else f"mean ΔE00, {counts[0]} of {counts[1]}",
        "found in the picture"
        if answer.chosen is None
        else f"placed by hand, corner {answer.chosen + 1} of 4 is moved",
        Tone.QUIET,
        rows,
        warnings=answer.look.warnings,
    )
