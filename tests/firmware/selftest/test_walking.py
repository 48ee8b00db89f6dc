"""The walk: every step has an outcome, and nobody's silence is a finding."""

from firmware.clock import HandClock
from firmware.selftest.found import RowFound, RowOutcome, Seer, missing
from firmware.selftest.step import AtHand, CheckRow
from firmware.selftest.walking import NOT_REACHED, ONLY_A_PERSON, walk

AROUND = AtHand(None, HandClock())


def step(number, look=None, *, judged=True):
    return CheckRow(number, f"question {number}", "run", "expect", "needs", look, judged)


STEPS = (
    step(1),
    step(2, lambda _around: RowFound(RowOutcome.AS_EXPECTED, "measured"), judged=False),
    step(3, lambda _around: missing("no camera")),
    step(4, lambda _around: RowFound(RowOutcome.OPEN, "codes", seen_by=Seer.NOBODY)),
)


def outcomes(walked):
    return [each.found.outcome for each in walked.steps]


def test_where_nobody_is_asked_what_needs_eyes_is_open():
    said: list[str] = []
    walked = walk(STEPS, AROUND, said.append)
    assert outcomes(walked) == [
        RowOutcome.OPEN,
        RowOutcome.AS_EXPECTED,
        RowOutcome.CANNOT,
        RowOutcome.OPEN,
    ]
    assert walked.steps[0].found.words == ONLY_A_PERSON
    assert said[0] == "1. question 1"
    assert not any(each.found.seen_by is Seer.PERSON for each in walked.steps)


def test_only_what_can_be_seen_here_is_asked_for():
    asked = []

    def ask(question):
        asked.append(question)
        return "y" if "As expected" in question else ""

    walked = walk(STEPS, AROUND, lambda _line: None, ask)
    assert outcomes(walked) == [RowOutcome.AS_EXPECTED] * 2 + [
        RowOutcome.CANNOT,
        RowOutcome.AS_EXPECTED,
    ]
    assert sum("As expected" in each for each in asked) == 2
    assert sum("when it is ready" in each for each in asked) == 2
    assert [each.found.seen_by for each in walked.steps] == [
        Seer.PERSON,
        Seer.MIDGREY,
        Seer.MIDGREY,
        Seer.PERSON,
    ]


def test_what_was_found_before_the_walk_was_ended_stands():
    def ask(_question):
        if len(taken) == 3:
            raise KeyboardInterrupt
        taken.append(1)
        return "y" if len(taken) == 1 else ""

    taken: list[int] = []
    walked = walk(STEPS, AROUND, lambda _line: None, ask)
    assert outcomes(walked)[:2] == [RowOutcome.AS_EXPECTED, RowOutcome.AS_EXPECTED]
    assert [each.found.words for each in walked.steps[2:]] == [NOT_REACHED] * 2
