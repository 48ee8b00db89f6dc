"""What the match view says beside the picture."""

from firmware.clock import local_time
from firmware.instruments.match.answer import MatchAnswer
from overlays.draw.moment.report import Report, Row, Tone
from overlays.measure.match.match_words import match_words
from overlays.wording.numbers import UNKNOWN, pm_text, signed

TAKES_A = "take camera A"
FROM_UNIT = "A from a unit"
"""Label of the press that does, by which sentences name it."""

STILL_A = "B differs from A by less than the ± everywhere: is camera A still on the screen?"
NO_CHROMA = "camera A came as R'G'B' and leaves no chroma ghost"


def match_report(answer: MatchAnswer) -> Report:
    """Camera B against camera A: exposure large, what to do, the pins below."""
    compared = answer.compared
    if answer.why_not:
        heading = f"match with {answer.unit}" if answer.unit else "match"
        return Report(heading, UNKNOWN, "", f"no match now: {answer.why_not}")
    if compared is None:
        return Report(
            "match",
            UNKNOWN,
            "",
            f"show camera A and press “{TAKES_A}”: its pins, trace and chroma are kept; then show "
            "camera B",
        )
    found = compared.match
    a = compared.a
    rows = [Row("A was taken", local_time(a.wall_s))]
    if a.unit is not None:
        rows = [Row("A is live", a.unit.name)]
    for number, pair in zip(compared.numbers, found.pairs, strict=True):
        if pair.rgb_stops is None:
            rows.append(Row(str(number), pair.why_not, Tone.QUIET))
            continue
        rgb = "  ".join(signed(-each, 2) for each in pair.rgb_stops)
        rows.append(Row(f"{number} add, RGB", rgb, short=str(number)))
    first, *notes = match_words(found)
    if a.ghost is not None and a.ghost.chroma is None and answer.has_chroma:
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
            *([STILL_A] if answer.is_same and a.unit is None else []),
            *(f"A: {each}" for each in a.warnings),
            *found.warnings,
        ),
    )
