"""A feed check for the terminal."""

from firmware.answers.table import Line, Table, notes, sentences
from firmware.answers.terminal_numbers import plain
from firmware.instruments.feedcheck.answer import FeedcheckAnswer
from firmware.instruments.feedcheck.colours import colour_words
from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.readings import What
from overlays.measure.feedcheck.verdict import FeedCheck, Hypothesis, Sureness
from overlays.measure.feedcheck.words import advice_words, verdict_words
from overlays.wording.numbers import pm_text, share_text

MOST_WAYS = 8
"""Ways to read the feed in the table; the object of --json holds every name."""

OFF = ("cap off", "card off", "clip off")
"""Of codes."""

SURE = {
    Sureness.CERTAIN: "certain",
    Sureness.TIED: "not certain which",
    Sureness.UNEXPLAINED: "not certain",
    Sureness.COLOURED: "not certain",
}


def feedcheck_lines(answer: FeedcheckAnswer) -> list[Line]:
    """What was read, the verdict, the likeliest ways to read it, what to do, warnings."""
    check = answer.check
    assert check is not None  # `ask` answers with one
    read = ", ".join(
        f"{what.value} {reading.code:.1f} {pm_text(reading.code_pm, 1)}"
        for what, reading in answer.readings.items()
    )
    sure = SURE[check.standing]
    said = [plain(verdict_words(check, answer.now)), *map(plain, advice_of(answer))]
    return [
        f"{answer.origin.feed_name}; codes of {check.bits} bits: {read}",
        *sentences([f"{said[0]} ({sure})"]),
        _table(check),
        *sentences((*said[1:], *answer.doubts)),
        *([] if not answer.kept else sentences([answer.kept])),
        *notes(answer.origin.warnings, said),
    ]


def advice_of(answer: FeedcheckAnswer) -> tuple[str, ...]:
    """What to do, and what patches say, in sentences without full stops."""
    check = answer.check
    assert check is not None  # asked of a whole one only
    return (*advice_words(check, answer.now, answer.kept), *colour_words(answer))


def ways_of(check: FeedCheck) -> list[list[Hypothesis]]:
    """The ways to read the feed, those that fit first, each with the names that read alike.

    They are the ways that the verdict counts, in its order, the name first that it says.
    """
    found: dict[tuple[str, float, float], list[Hypothesis]] = {}
    for group in check.groups:
        found[group[0].alike] = []
    for each in check.hypotheses:
        found.setdefault(each.delivery.alike, []).append(each)
    order = [name for group in check.groups for name in group]
    for names in found.values():
        names.sort(key=lambda each: _place(each.delivery, order))
    return list(found.values())


def _place(name: Delivery, order: list[Delivery]) -> int:
    """Of a name among those that fit; behind them where its clip does not."""
    return order.index(name) if name in order else len(order)


def _table(check: FeedCheck) -> Table:
    rows = []
    for number, names in enumerate(ways_of(check)[:MOST_WAYS], 1):
        for each in names:
            rows.append(_row(each, names, number if each is names[0] else None))
    headings = ("way", "curve", "carriage", "range", *OFF, "share", "fits")
    return Table(headings, tuple(rows), left=(1, 2, 3))


def _row(each: Hypothesis, names: list[Hypothesis], number: int | None) -> tuple[str, ...]:
    """One name; what all names of a way have alike stands beside the first of them."""
    named = each.delivery.curve.name, each.delivery.carriage.value, each.delivery.range.value
    if number is None:
        return ("", *named, "", "", "", "", "")
    off = [f"{each.residual_codes[what]:+.1f}" for what in (What.CAP, What.CARD, What.CLIP)]
    share = sum(name.probability for name in names)
    return (
        str(number),
        *named,
        *off,
        f"{share_text(share)} %",
        "yes" if each.possible else "no",
    )
