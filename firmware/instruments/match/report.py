"""What the match view says beside the picture."""

from firmware.clock import local_time
from firmware.instruments.match.answer import MatchAnswer
from overlays.draw.moment.report import Report, Row, Tone
from overlays.measure.match.match_words import match_words
from overlays.wording.numbers import UNKNOWN, pm_text, signed

STILL_A = "B differs from A by less than the ± everywhere: is camera A still on the screen?"
NO_CHROMA = "camera A came as R'G'B' and leaves no chroma ghost"


def match_report(answer: MatchAnswer) -> Report:
    """Camera B against camera A: exposure large, what to do, the pins below."""
    compared = answer.compared
    if compared is None:
        return Report(
            "match",
            UNKNOWN,
            "",
            "show camera A and take it: its pins, trace and chroma are kept; then show camera B",
        )
    found = compared.match
    rows = [Row("A was taken", local_time(compared.a.wall_s))]
    for number, pair in zip(compared.numbers, found.pairs, strict=True):
        if pair.rgb_stops is None:
            rows.append(Row(str(number), pair.why_not, Tone.QUIET))
            continue
        rgb = "  ".join(signed(-each, 2) for each in pair.rgb_stops)
        rows.append(Row(f"{number} add, RGB", rgb, short=str(number)))
    first, *notes = match_words(found)
    if compared.a.ghost.chroma is None and answer.has_chroma:
        notes.append(NO_CHROMA)
    exposure = found.exposure_stops
    return Report(
        "B is shown: add exposure",
        UNKNOWN if exposure is None else f"{signed(exposure, 2)} st",
        "" if exposure is None else f"{pm_text(found.exposure_pm, 2)} st",
        first,
        rows=tuple(rows),
        notes=tuple(notes),
        warnings=(
            *([STILL_A] if answer.is_same else []),
            *(f"A: {each}" for each in compared.a.origin.warnings),
            *found.warnings,
        ),
    )
