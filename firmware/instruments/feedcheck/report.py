"""The feed check beside the picture: what to point at next, then the verdict."""

from firmware.instruments.feedcheck.answer import FeedcheckAnswer
from firmware.instruments.feedcheck.colours import (
    MOST_NAMED,
    colour_words,
    next_patch,
    wrong_matrix_words,
)
from overlays.draw.moment.report import Report, Row, Tone
from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.readings import What
from overlays.measure.feedcheck.words import (
    RANGE_WORDS,
    advice_words,
    verdict_words,
)
from overlays.signal.signal import Components
from overlays.wording.numbers import UNKNOWN, pm_text, typeset

ORDER = (What.CAP, What.CARD, What.CLIP)

TAKES, ANEW, COLOURS = "take reading", "begin anew", "take colours"
"""Labels of the presses that lead through it, by which sentences name them."""

STEPS = {
    What.CAP: ("lens cap", f"put the cap on the lens, then press “{TAKES}”"),
    What.CARD: (
        "grey card",
        f"put a grey card under the spot, at mid-grey by a light meter, then press “{TAKES}”",
    ),
    What.CLIP: ("a clip", f"show a lamp that the camera cannot hold, never the sun; “{TAKES}”"),
    What.WHITE: ("white chip", f"a white chip in the card's light and exposure; “{TAKES}”"),
    What.DARK: ("dark card", f"the grey card with the lens closed by four stops; “{TAKES}”"),
}

AGAIN = f"press “{ANEW}” to start over"
KEEPS = f"press “{TAKES}” to keep this for the device"


def next_of(answer: FeedcheckAnswer) -> What | None:
    """What is to be read next; None where nothing more would tell."""
    for what in ORDER:
        if what not in answer.readings:
            return what
    return None if answer.check is None else answer.check.ask


def patch_wanted(answer: FeedcheckAnswer) -> str | None:
    """The patch that is to be read next; None before greys are certain, and where none helps."""
    if answer.check is None or not answer.check.is_certain:
        return None
    telling = next_patch(answer)
    return None if telling is None else telling[0]


def no_patch_words(answer: FeedcheckAnswer) -> str:
    """Why no patch is taken, in a sentence without full stop."""
    if answer.check is None or not answer.check.is_certain:
        return f"patches come once greys are certain; “{TAKES}” first"
    if answer.origin.signal.components is Components.RGB:
        return "R G B has no matrix, so a patch would say nothing"
    return "; ".join(colour_words(answer))


def feedcheck_report(answer: FeedcheckAnswer) -> Report:
    """What to point at, large, until all is read; then what arrives."""
    check, what = answer.check, next_of(answer)
    rows = tuple(
        Row(f"{STEPS[each][0]}, code", f"{reading.code:.1f} {pm_text(reading.code_pm, 1)}")
        for each, reading in answer.readings.items()
    )
    warnings = (*((answer.kept,) if answer.kept else ()), *answer.doubts[:1])
    if check is None:
        assert what is not None  # cap, card or clip is not read yet
        words = STEPS[what][1]
        number = len(answer.readings) + 1
        left = tuple(Row(STEPS[each][0], UNKNOWN, Tone.QUIET) for each in ORDER[number - 1 :])
        return Report(
            f"feed check, {number} of 3",
            what.value,
            "to be read",
            words,
            rows=(*rows, *left),
            warnings=warnings,
        )
    verdict = typeset(verdict_words(check, answer.now))
    more = [typeset(each) for each in advice_words(check, answer.now)]
    if check.is_certain and answer.chosen is not None:
        return _certain(answer, answer.chosen, verdict, rows, warnings)
    words = verdict if what is None else STEPS[what][1]
    return Report(
        "feed check, not certain",
        "unsure" if check.groups else "unknown",
        f"{len(check.groups)} ways to read it" if check.groups else "nothing explains it",
        words,
        Tone.PLAIN if check.groups else Tone.ALARM,
        rows,
        (*(() if what is None else (verdict,)), *more[:1], AGAIN),
        warnings,
    )


def _certain(
    answer: FeedcheckAnswer,
    chosen: Delivery,
    verdict: str,
    rows: tuple[Row, ...],
    warnings: tuple[str, ...],
) -> Report:
    """What arrives, and what of it is read wrongly: greys before colours."""
    greys, colours = chosen.alike == answer.now.alike, wrong_matrix_words(answer)
    right = greys and not colours
    beside = "as it is read" if greys else RANGE_WORDS[chosen.range]
    if greys and colours and answer.matrix is not None:
        beside = f"matrix, {answer.matrix.value}"
    wanted = patch_wanted(answer)
    next_words = f"{KEEPS}; {AGAIN}"
    if wanted is not None:
        next_words = (
            f"“{TAKES}” keeps this for the device; “{COLOURS}” of a chart, or of its {wanted} "
            "patch, lit as the card, tells the matrix"
        )
    words = verdict if not greys else colours or next_words
    undecided = colour_words(answer)[:1] if answer.coloured and answer.matrix is None else ()
    return Report(
        "feed check, certain",
        "right" if right else "wrong",
        beside,
        typeset(words),
        Tone.PLAIN if right else Tone.ALARM,
        (*_named(answer, chosen), *rows),
        (*undecided, *(() if right else (next_words,))),
        warnings,
    )


def _named(answer: FeedcheckAnswer, of: Delivery) -> tuple[Row, ...]:
    rows = (
        Row("curve", of.curve.name),
        Row("carriage", of.carriage.value),
        Row("range", of.range.value),
    )
    if not answer.patches:
        return rows
    left = " or ".join(each.value for each in answer.matrices) or UNKNOWN
    names = [each.patch for each in answer.patches]
    read = ", ".join(names) if len(names) <= MOST_NAMED else f"{len(names)} of a chart"
    return (*rows, Row("matrix", left), Row("by patches", read))
