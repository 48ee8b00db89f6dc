"""Words a person types: matched forgivingly, and answered with the nearest when unknown."""

import difflib
from collections.abc import Iterable
from enum import Enum
from typing import TypeVar

from firmware.errors import ArgumentError

Choice = TypeVar("Choice", bound=Enum)


def _plain(word: str) -> str:
    return "".join(letter for letter in word.casefold() if letter.isalnum())


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The one of `words` that was probably meant, or None where none is near."""
    spelled = {_plain(each): each for each in words}
    found = difflib.get_close_matches(_plain(word), spelled, n=1, cutoff=0.6)
    return spelled[found[0]] if found else None


def offer(word: str, words: Iterable[str]) -> str:
    """What to say after an unknown word: the nearest, or all there are."""
    known = list(words)
    near = nearest(word, known)
    return f"did you mean {near}?" if near else f"it is one of {', '.join(known)}"


def choice(choices: type[Choice], word: str, what: str) -> Choice:
    """The member of an enum whose value is `word`; case and punctuation do not matter.

    Raises
    ------
    ArgumentError
        No member has that value; `what` says what was asked for ("range").
    """
    for member in choices:
        if _plain(str(member.value)) == _plain(word):
            return member
    known = [str(member.value) for member in choices]
    raise ArgumentError(f"unknown {what} {word!r}; {offer(word, known)}")
