"""What is said of the machine's health: one condition a subject, with words and a remedy."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum, IntEnum


class Severity(IntEnum):
    """How much a condition asks for, in order."""

    FINE = 0
    UNKNOWN = 1
    """This machine does not say."""
    NOTE = 2
    """Worth knowing when one looks for it; never on the screen."""
    WARNING = 3
    """The picture or the pace suffers."""
    ALARM = 4
    """The machine may stop, or what is to be kept is lost."""


class Subject(Enum):
    """What a condition is about; of two that are equally bad the earlier is shown."""

    POWER = "power"
    BATTERY = "battery"
    TEMPERATURE = "temperature"
    CARD = "card"
    SPEED = "speed"
    FRAMES = "frames"
    AGE = "feed age"


@dataclass(frozen=True, slots=True)
class Condition:
    """How one thing stands.

    Attributes
    ----------
    words, remedy:
        What is the matter and what to do about it, each part of a sentence; no remedy where
        nothing is to be done.
    line:
        Both in one short line for the screen; from WARNING on.
    line_after:
        The same for the while after it is over, where that is something else.
    where:
        The place it is about, where a subject has several.
    name:
        In a word or two, to be read from two metres; of what is an ALARM.
    """

    subject: Subject
    severity: Severity
    words: str
    remedy: str = ""
    line: str = ""
    line_after: str = ""
    where: str = ""
    name: str = ""

    @property
    def key(self) -> tuple[Subject, str]:
        """What stays the same while the severity comes and goes."""
        return self.subject, self.where


_ORDER = {subject: place for place, subject in enumerate(Subject)}


def worst(conditions: Iterable[Condition]) -> Condition | None:
    """The one that is to stand on the screen; None where nothing matters enough."""
    grave = [each for each in conditions if each.severity >= Severity.WARNING]
    return min(grave, key=lambda each: (-each.severity, _ORDER[each.subject]), default=None)
