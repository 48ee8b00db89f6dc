"""A feed check for the terminal."""

from firmware.answers.numbers import plain
from firmware.answers.table import Line, Table, notes, sentences
from firmware.instruments.feedcheck.answer import FeedcheckAnswer
from overlays.measure.feedcheck.readings import What
from overlays.measure.feedcheck.verdict import FeedCheck, Hypothesis
from overlays.measure.feedcheck.words import advice_words, verdict_words
from overlays.signal.signal import Components
from overlays.wording.numbers import pm_text, share_text

MOST_ROWS = 8
"""Hypotheses in the table; the object of --json holds all."""


def feedcheck_lines(answer: FeedcheckAnswer) -> list[Line]:
    """What was read, the verdict, the likeliest hypotheses, what to do, warnings."""
    check = answer.check
    assert check is not None  # `ask` answers with one
    read = ", ".join(
        f"{what.value} {reading.code:.1f} {pm_text(reading.code_pm, 1)}"
        for what, reading in answer.readings.items()
    )
    sure = "certain" if check.is_certain else "not certain"
    said = [plain(verdict_words(check, answer.now)), *map(plain, advice_of(answer))]
    return [
        f"{answer.origin.feed_name}; codes of {check.bits} bits: {read}",
        *sentences([f"{said[0]} ({sure})"]),
        _table(check),
        *sentences(said[1:]),
        *([] if not answer.kept else sentences([answer.kept])),
        *notes(answer.origin.warnings, said),
    ]


def advice_of(answer: FeedcheckAnswer) -> tuple[str, ...]:
    """What to do, and what a patch says, in sentences without full stops."""
    check = answer.check
    assert check is not None  # asked of a whole one only
    return (*advice_words(check, answer.now), *_colour_words(answer))


def _colour_words(answer: FeedcheckAnswer) -> tuple[str, ...]:
    """What is known of the matrix."""
    if answer.origin.signal.components is Components.RGB:
        return ()
    if not answer.coloured:
        return ("greys say nothing of the matrix: a saturated patch of a chart, --patch, may",)
    if answer.matrix is not None:
        return (f"the patch is that of matrix {answer.matrix.value}",)
    possible = dict.fromkeys(each.matrix.value for each in answer.coloured if each.possible)
    if possible:
        said = (
            f"the patch does not decide the matrix: {', '.join(possible)} are within what a "
            "camera's own colours are off"
        )
        return (said,)
    said = (
        f"no matrix makes the patch the colour it has: the nearest is off by "
        f"{share_text(answer.coloured[0].off_share)} %; is it the patch it is said to be, and the "
        "balance set?"
    )
    return (said,)


def _table(check: FeedCheck) -> Table:
    rows = tuple(_row(each) for each in check.hypotheses[:MOST_ROWS])
    headings = ("curve", "carriage", "range", "cap", "card", "clip", "share", "fits")
    return Table(headings, rows, left=(0, 1, 2))


def _row(each: Hypothesis) -> tuple[str, ...]:
    off = [f"{each.residual_codes[what]:+.1f}" for what in (What.CAP, What.CARD, What.CLIP)]
    return (
        each.delivery.curve.name,
        each.delivery.carriage.value,
        each.delivery.range.value,
        *off,
        f"{share_text(each.probability)} %",
        "yes" if each.possible else "no",
    )
