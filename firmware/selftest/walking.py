"""Walking the checklist, step by step; whatever ends it, what was found so far stands."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from firmware.selftest.found import CheckedRow, RowFound, RowOutcome, left_open
from firmware.selftest.questions import Photograph, judged
from firmware.selftest.step import AtHand, CheckRow

ONLY_A_PERSON = "only somebody who is there can see this"
NOT_REACHED = "the walk was ended before this step"


@dataclass(frozen=True, slots=True)
class Walked:
    """All steps with what came of them, and the photographs."""

    steps: tuple[CheckedRow, ...]
    photographs: tuple[Photograph, ...] = ()


def walk(
    steps: Sequence[CheckRow],
    around: AtHand,
    say: Callable[[str], None],
    ask: Callable[[str], str] | None = None,
) -> Walked:
    """Take every step.

    Parameters
    ----------
    steps:
        In their order.
    around:
        What looks have at hand.
    say:
        Prints a line.
    ask:
        Asks whoever is there; None where nobody is. An end of input or Ctrl-C ends the walk.
    """
    done: list[CheckedRow] = []
    photographs: list[Photograph] = []
    for step in steps:
        say(f"{step.number}. {step.question}")
        try:
            found, photograph = _taken(step, around, say, ask)
        except (EOFError, KeyboardInterrupt):
            say("\n  ended here; what was found so far is kept")
            break
        say(f"  {found.outcome.value}: {found.words}")
        done.append(_object(step, found))
        if photograph is not None:
            photographs.append(photograph)
    rest = steps[len(done) :]
    done += [_object(step, left_open(NOT_REACHED)) for step in rest]
    return Walked(tuple(done), tuple(photographs))


def _taken(
    step: CheckRow,
    around: AtHand,
    say: Callable[[str], None],
    ask: Callable[[str], str] | None,
) -> tuple[RowFound, Photograph | None]:
    if ask is not None and step.is_judged:
        say(f"  needs:  {step.needs}")
        say(f"  do:     {step.run}")
        say(f"  expect: {step.expect}")
        if step.look is not None:
            ask("  Enter when it is ready: ")
    found = left_open(ONLY_A_PERSON) if step.look is None else step.look(around)
    for figure in found.figures:
        say(f"  {figure.words}")
    # What is missing here nobody can have seen; what midgrey saw a person may know better.
    if ask is None or not step.is_judged or found.outcome is RowOutcome.CANNOT:
        return found, None
    if step.look is None:
        found = replace(found, words="as somebody who was there says")
    return judged(step, found, ask, say)


def _object(step: CheckRow, found: RowFound) -> CheckedRow:
    return CheckedRow(step.number, step.question, step.run, step.expect, step.needs, found)
