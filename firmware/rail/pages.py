"""Pages of the rail: what each of four buttons does when pressed and when held. Plain values."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from firmware.actions import GOES_ON, Press, ShowView, Touch

BUTTONS = 4

OPENS = " ›"
"""Behind the label of what opens a page instead of doing something."""


class Leaf(Enum):
    """What a page is about."""

    ROOT = "what is used most"
    INDEX = "the views"
    MORE = "all that is used less"
    OWN = "what the view in use can be told"
    SPOT = "where the spot goes, and pins"
    MOVE = "the spot by hand"
    SIZE = "the size of the spot"
    PROFILE = "the profile"
    MONITOR = "how the picture is shown"
    PHONE = "phones that see the page"
    LINEUP = "the panel itself"


@dataclass(frozen=True, slots=True)
class At:
    """A page: what it is about, and which of several of that kind."""

    leaf: Leaf = Leaf.ROOT
    number: int = 0


FIRST = At()
"""The page that the rail goes back to."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """A label, and what it stands for: a press, a view, or another page.

    `is_guarded` where it must not happen by a short press, `ends` where the first page follows.
    """

    label: str
    does: Press | ShowView | At
    is_guarded: bool = False
    ends: bool = False


@dataclass(frozen=True, slots=True)
class Slot:
    """What one button does: pressed, and held."""

    pressed: Meaning | None = None
    held: Meaning | None = None

    @property
    def goes_on(self) -> bool:
        """Whether holding it repeats what pressing it does."""
        return self.held is None and self.pressed is not None and self.pressed.does in GOES_ON

    def entry(self, touch: Touch) -> Meaning | None:
        """What a press of it stands for; None for nothing."""
        if touch is Touch.SHORT or self.goes_on:
            return self.pressed
        return self.held if touch is Touch.LONG else None


Page = tuple[Slot, Slot, Slot, Slot]
"""The buttons from left to right."""

NOTHING = Slot()
DONE = Meaning("done", FIRST)


def page_of(pressed: Sequence[Meaning | None], held: Sequence[Meaning | None] = ()) -> Page:
    """A page of up to four labels in each row."""
    both = [
        Slot(
            pressed[place] if place < len(pressed) else None,
            held[place] if place < len(held) else None,
        )
        for place in range(BUTTONS)
    ]
    return both[0], both[1], both[2], both[3]


def leaves_of(entries: Sequence[Meaning], leaf: Leaf) -> list[Page]:
    """As many pages as entries need: three short, three held, and the way back and on.

    Those that are guarded come last, and are only ever held.
    """
    free = [each for each in entries if not each.is_guarded]
    guarded = [each for each in entries if each.is_guarded]
    across = BUTTONS - 1
    pages: list[list[Meaning | None]] = [[]]
    for each in free:
        if len(pages[-1]) == 2 * across:
            pages.append([])
        pages[-1].append(each)
    for each in guarded:
        if len(pages[-1]) == 2 * across:
            pages.append([])
        pages[-1] += [None] * (across - len(pages[-1]))
        pages[-1].append(each)
    out = []
    for number, held in enumerate(pages):
        is_last = number == len(pages) - 1
        on = None if is_last else Meaning(f"more{OPENS}", At(leaf, number + 1))
        upper, lower = held[:across], held[across:]
        lower += [None] * (across - len(lower))
        out.append(page_of([*upper, *[None] * (across - len(upper)), DONE], [*lower, on]))
    return out
