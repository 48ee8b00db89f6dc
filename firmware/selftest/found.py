"""What came of the steps of a self-test, and the file's whole content."""

from dataclasses import dataclass, field
from enum import Enum


class RowOutcome(Enum):
    """What came of a step; nothing counts as seen that nobody saw and nothing measured."""

    AS_EXPECTED = "as expected"
    OTHERWISE = "not as expected"
    OPEN = "open"
    """It could be done, but nobody looked, or what came decides nothing."""
    CANNOT = "cannot be done here"
    """Something is missing that it needs."""


class Seer(Enum):
    """Who saw it."""

    MIDGREY = "midgrey"
    PERSON = "a person"
    NOBODY = "nobody"


@dataclass(frozen=True, slots=True)
class Figure:
    """Something measured."""

    name: str
    value: float | int | str | None
    unit: str = ""

    @property
    def words(self) -> str:
        """For a person."""
        value = "not known" if self.value is None else str(self.value)
        return " ".join(filter(None, (f"{self.name}:", value, self.unit)))


@dataclass(frozen=True, slots=True)
class RowFound:
    """What came of one step.

    Attributes
    ----------
    outcome, words:
        How it ended, and one sentence on it: what was found, or what is missing.
    figures:
        What was measured.
    seen_by:
        Who decided the outcome.
    typed, photograph:
        What a person wrote of it; the name in the file of a picture that was taken of it.
    """

    outcome: RowOutcome
    words: str
    figures: tuple[Figure, ...] = ()
    seen_by: Seer = Seer.MIDGREY
    typed: str = ""
    photograph: str = ""


def missing(words: str) -> RowFound:
    """That a step needs what is not here."""
    return RowFound(RowOutcome.CANNOT, words)


def left_open(words: str, *figures: Figure) -> RowFound:
    """That nothing is decided."""
    return RowFound(RowOutcome.OPEN, words, figures, Seer.NOBODY)


@dataclass(frozen=True, slots=True)
class CheckedRow:
    """A step of the checklist and what came of it, as it stands in the file."""

    number: int
    question: str
    run: str
    expect: str
    needs: str
    found: RowFound


@dataclass(frozen=True, slots=True)
class MachineObject:
    """What it was run on.

    Attributes
    ----------
    model, system, kernel, processor:
        As the machine says; None where it does not.
    midgrey:
        The version.
    day:
        In UTC; None where the clock cannot be right.
    bridge:
        Bridge or stick, as a person wrote it.
    """

    model: str | None
    system: str | None
    kernel: str
    processor: str
    midgrey: str
    day: str | None
    bridge: str = ""


@dataclass(frozen=True, slots=True)
class SelftestObject:
    """The whole file.

    Attributes
    ----------
    is_alone:
        Whether nobody was asked.
    feed:
        Which feed was looked at; None where there was none.
    """

    machine: MachineObject
    is_alone: bool
    feed: str | None
    steps: tuple[CheckedRow, ...] = field(default=())

    def count(self, outcome: RowOutcome) -> int:
        """How many steps ended so."""
        return sum(each.found.outcome is outcome for each in self.steps)
