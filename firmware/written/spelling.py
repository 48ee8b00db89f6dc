"""Words a person types: matched forgivingly, and answered with the nearest when unknown."""

from collections.abc import Iterable
from enum import Enum
from typing import TypeVar

from firmware.errors import ArgumentError
from overlays.signal.names import near, plain

Choice = TypeVar("Choice", bound=Enum)
LIKENESS = 0.6
"""As in `near`: the usual one of difflib, since one word is offered and not several."""


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The one of `words` that was probably meant, or None where none is near."""
    found = near(word, words, most=1, likeness=LIKENESS)
    return found[0] if found else None


def offer(word: str, words: Iterable[str]) -> str:
    """What to say after an unknown word: the nearest, or all there are."""
    known = list(words)
    meant = nearest(word, known)
    return f"did you mean {meant}?" if meant else f"it is one of {', '.join(known)}"


def choice(choices: type[Choice], word: str, what: str) -> Choice:
    """The member of an enum whose value is `word`; case and punctuation do not matter.

    Raises
    ------
    ArgumentError
        No member has that value; `what` says what was asked for ("range").
    """
    for member in choices:
        if plain(str(member.value)) == plain(word):
            return member
    known = [str(member.value) for member in choices]
    raise ArgumentError(f"unknown {what} {word!r}; {offer(word, known)}")
