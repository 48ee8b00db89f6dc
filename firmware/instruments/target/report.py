"""The giant reading in words."""

from firmware.instruments.target.answer import TargetAnswer
from overlays.draw.columns.cells import alarm_words, channel_cells
from overlays.draw.moment.report import Report, Row, Tone
from overlays.measure.expose.excursions import Excursions
from overlays.measure.expose.side import Goal, Judgement, Side
from overlays.measure.spot.spot import SpotReading
from overlays.wording.numbers import UNKNOWN, percent_text, pm_text, stops_text, typeset

CLEARS = "clear"
"""What the rail calls the press that forgets what has happened."""

CLEARS_IT = f"“{CLEARS}” forgets it"


def target_report(answer: TargetAnswer) -> Report:
    """The side large, how far off, and in a sentence what has happened."""
    judged, past = answer.judged, answer.past
    is_out = judged.side in {Side.OVER, Side.UNDER}
    return Report(
        heading=goal_words(answer.goal),
        main=UNKNOWN if judged.side is None else judged.side.value.upper(),
        beside=off_words(judged),
        words=happened_words(judged, past),
        tone=Tone.ALARM if is_out or past.latched is not None else Tone.PLAIN,
        rows=() if answer.spot is None else (_reads(answer.spot),),
        warnings=answer.warnings,
        notes=(CLEARS_IT,) if past.count else (),
    )


def _reads(spot: SpotReading) -> Row:
    """What the spot reads, whatever its target is; what is wrong with that in place of channels."""
    alarm = alarm_words(spot)
    beside = alarm or "  ".join(f"{label[0]} {value}" for label, value, _ in channel_cells(spot))
    stops = stops_text(spot.stops, spot.stops_pm, spot.bound)
    words = f"{stops} st   {percent_text(spot.percent)} %   {beside}"
    return Row("reads", words, Tone.ALARM if alarm else Tone.PLAIN)


def goal_words(goal: Goal) -> str:
    """Where the spot should be, and what still counts as there."""
    return typeset(f"target {goal.target}, ±{goal.within_stops:.2f} st")


def off_words(judged: Judgement) -> str:
    """How far off the target, with its ±; nothing where that is not known."""
    if judged.off_stops is None:
        return ""
    number = stops_text(judged.off_stops, judged.pm_stops, judged.bound)
    beside = "" if judged.bound is not None else f" {pm_text(judged.pm_stops, 2)}"
    return f"{number}{beside} st off"


def farthest_words(past: Excursions) -> str:
    """How far it was off at its farthest."""
    if past.farthest_stops is None:
        return UNKNOWN
    return f"{stops_text(past.farthest_stops, past.farthest_pm, past.farthest_bound)} st"


def happened_words(judged: Judgement, past: Excursions) -> str:
    """What has happened, and why there is no side where there is none."""
    happened = ""
    if past.latched is not None:
        times = "once" if past.count == 1 else f"{past.count} times"
        times = f"at least {times}" if past.at_least else times
        farthest = f"{farthest_words(past)} at its farthest"
        happened = f"was out {times}, last {past.latched.value}, {farthest}"
    if judged.side is None:
        why = f"cannot be said: {judged.why}"
        return f"{why}; {happened}" if happened else why
    return happened or ("has not been out" if judged.side is Side.IN else "out from the start")
