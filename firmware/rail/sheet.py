"""All that the rail's pages hold, as lists by what they are about: for a screen with more room.

Where four buttons turn pages, a phone has room for every label at once. Each press stands once, in
the first list that has it.
"""

from dataclasses import dataclass

from firmware.actions import Press
from firmware.rail.pages import FIRST, At, Leaf, Meaning, Page
from firmware.rail.tree import FINE, Surroundings, page

NOT_HERE = frozenset({Press.QUIT, Press.HELP})
"""Ends the run; explains the keys of a keyboard."""
LEAVES = (Leaf.ROOT, *(each for each in Leaf if each not in {Leaf.ROOT, Leaf.INDEX, Leaf.MORE}))
NUMBERS = 4
"""Pages of one kind that are looked through: as many as any kind has."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Labels that belong together, in their order."""

    title: str
    entries: tuple[tuple[str, Press], ...]


def first_page(now: Surroundings) -> Page:
    """What stands over the four buttons before any page is turned."""
    return page(FIRST, now)


def sheets(now: Surroundings) -> tuple[Sheet, ...]:
    """Every press that any page has in this view."""
    seen: set[Press] = set(NOT_HERE)
    out = []
    for leaf in (*LEAVES, Leaf.MORE):
        found: list[tuple[str, Press]] = []
        for number in range(NUMBERS):
            for meaning in _meanings(page(At(leaf, number), now)):
                if isinstance(meaning.does, Press) and meaning.does not in seen:
                    seen.add(meaning.does)
                    is_fine = leaf is Leaf.MOVE and number & FINE
                    found.append((f"{meaning.label}{', fine' * bool(is_fine)}", meaning.does))
        if found:
            out.append(Sheet(leaf.value, tuple(found)))
    return tuple(out)


def _meanings(one: Page) -> list[Meaning]:
    both = [slot.pressed for slot in one] + [slot.held for slot in one]
    return [each for each in both if each is not None]
