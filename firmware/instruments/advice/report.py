"""What to do about the exposure, in words beside the picture."""

from collections.abc import Sequence

from firmware.instruments.advice.answer import AdviceAnswer
from overlays.draw.moment.report import Report, Row, Tone
from overlays.measure.expose.advice import Move
from overlays.measure.expose.advice_words import off_words
from overlays.measure.expose.sequences import Control
from overlays.measure.range.forecast import Forecast
from overlays.wording.numbers import UNKNOWN, pm_text, signed, stops_text
from overlays.wording.reasons import Reason


def advice_report(answer: AdviceAnswer) -> Report:
    """How far the spot is off the target, and what to do about it."""
    standing, off = answer.standing, answer.off_stops
    heading = f"spot against {standing.target}".replace("-", "−")
    if off is None:
        tone = Tone.ALARM if answer.why is Reason.CLIPPED else Tone.PLAIN
        others = tuple(each for each in answer.warnings if each != answer.remedy)
        return Report(heading, UNKNOWN, "", answer.remedy, tone, warnings=others)
    rows = [
        _control_row(control, answer.moves, is_chosen=index == standing.chosen)
        for index, control in enumerate(standing.controls)
    ]
    notes = (answer.together or answer.moves)[0].notes if answer.moves else ()
    if answer.forecast is not None and answer.change_stops:  # now they stand beside it
        rows += _forecast_rows(answer.forecast, answer.when)
    return Report(
        heading,
        stops_text(off, answer.pm),
        f"{pm_text(answer.pm, 2)} st  ·  {off_words(off)}",
        answer.words,
        rows=tuple(rows),
        notes=tuple(notes),
        warnings=answer.warnings,
    )


def _control_row(control: Control, moves: Sequence[Move], *, is_chosen: bool) -> Row:
    found = next((move for move in moves if move.kind is control.kind), None)
    value = "stays"
    if found is not None:
        value = f"to {found.to.label}, rest {signed(found.residual_stops, 2)}"
    return Row(control.now.label, value, is_chosen=is_chosen)


def _forecast_rows(forecast: Forecast, when: str) -> list[Row]:
    """The extremes after the move; that nothing happens to them needs no words."""
    bright = stops_text(forecast.brightest_stops, None, forecast.brightest_bound)
    dark = stops_text(forecast.darkest_stops)
    return [
        _foreseen(f"{when} brightest", bright, ", clips" if forecast.clips else ""),
        _foreseen(f"{when} darkest", dark, ", below floor" if forecast.sinks else ""),
    ]


def _foreseen(label: str, stops: str, trouble: str) -> Row:
    read = "not known" if stops == UNKNOWN else f"{stops} st"
    return Row(label, f"{read}{trouble}", Tone.ALARM if trouble else Tone.PLAIN)
