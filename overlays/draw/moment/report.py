"""What an instrument says in the column beside the picture."""

from dataclasses import dataclass
from enum import Enum


class Tone(Enum):
    """How much a row asks for."""

    PLAIN = "plain"
    QUIET = "quiet"
    ALARM = "alarm"


@dataclass(frozen=True, slots=True)
class Row:
    """A label with its value at the right; `is_chosen` is what + and − move.

    `short` says the same as the label in fewer letters, for a column that is narrow.
    """

    label: str
    value: str
    tone: Tone = Tone.PLAIN
    is_chosen: bool = False
    short: str = ""


@dataclass(frozen=True, slots=True)
class Report:
    """What a view says at a moment.

    Attributes
    ----------
    heading:
        What the main number is of.
    main, beside:
        The number, and its ± and item.
    words:
        What to do, one sentence.
    tone:
        Of the words.
    rows:
        The rest, most important first.
    notes:
        Sentences in small type that warn of nothing.
    warnings:
        What makes the numbers less certain than they look, the gravest first; where words say it
        already, it is not said again.
    """

    heading: str
    main: str
    beside: str
    words: str
    tone: Tone = Tone.PLAIN
    rows: tuple[Row, ...] = ()
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
