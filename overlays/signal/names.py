"""Names as a person types them: case, spaces and punctuation do not matter; the nearest help."""

import difflib
from collections.abc import Iterable
from typing import Generic, Protocol, TypeVar

MOST_OFFERED = 3
LIKENESS = 0.5
"""Of two spellings, 0 to 1 (`difflib.SequenceMatcher.ratio`), from which on one is offered for the
other: that of the shortest name there is, two letters, with one of them wrong."""


class Named(Protocol):
    """What has a name and other spellings of it.

    Examples
    --------
    >>> from overlays.signal.gamuts import published_gamut
    >>> thing: Named = published_gamut("Rec.709")
    >>> thing.name, thing.aliases
    ('BT.709', ('Rec.709', 'sRGB'))
    """

    @property
    def name(self) -> str:
        """As its publication calls it."""
        ...

    @property
    def aliases(self) -> tuple[str, ...]:
        """Other spellings."""
        ...


Thing = TypeVar("Thing", bound=Named)


def plain(word: str) -> str:
    """Letters and digits alone, whatever their case.

    Parameters
    ----------
    word:
        As a person types it.

    Returns
    -------
    str
        Casefolded, without spaces and signs.

    Examples
    --------
    >>> plain("S-Log3 ")
    'slog3'
    """
    return "".join(each for each in word.casefold() if each.isalnum())


def near(
    word: str, words: Iterable[str], most: int = MOST_OFFERED, likeness: float = LIKENESS
) -> list[str]:
    """Those of `words` that were probably meant, as they are spelled there, the likeliest first.

    Parameters
    ----------
    word:
        As a person types it.
    words:
        All there are.
    most:
        At most so many are returned.
    likeness:
        Least likeness, 0 to 1, as difflib counts it.

    Returns
    -------
    list of str
        None, one or several.

    Examples
    --------
    >>> near("v log", ["V-Log", "S-Log3"], most=1)
    ['V-Log']
    """
    spelled = {plain(each): each for each in words}
    found = difflib.get_close_matches(plain(word), spelled, n=most, cutoff=likeness)
    return [spelled[each] for each in found]


class Names(Generic[Thing]):
    """Things found by any spelling of their names.

    Parameters
    ----------
    things:
        No two of them may share a spelling.

    Raises
    ------
    ValueError
        Two do; always a mistake in a table of ours.
    """

    def __init__(self, things: Iterable[Thing]) -> None:
        self._spelled: dict[str, Thing] = {}
        for thing in things:
            for spelling in (thing.name, *thing.aliases):
                known = self._spelled.setdefault(plain(spelling), thing)
                if known is not thing:
                    raise ValueError(f"{spelling!r} is {known.name} and {thing.name}")

    def find(self, name: str) -> Thing | None:
        """The thing of that name, or None.

        Parameters
        ----------
        name:
            As a person types it; case and punctuation do not matter.

        Returns
        -------
        Thing or None
            None where there is none of that name.

        Examples
        --------
        >>> from overlays.signal.gamuts import published_gamuts
        >>> found = Names(published_gamuts()).find("rec 2020")
        >>> found.name if found else "none"
        'BT.2020'
        """
        return self._spelled.get(plain(name))

    def near(self, name: str) -> list[str]:
        """Names of the things that were probably meant, the likeliest first; none where none is.

        Parameters
        ----------
        name:
            As a person types it.

        Returns
        -------
        list of str
            As they are spelled in full.

        Examples
        --------
        >>> from overlays.signal.gamuts import published_gamuts
        >>> Names(published_gamuts()).near("V-Gamit")[0]
        'V-Gamut'
        """
        keys = near(name, self._spelled)
        return list(dict.fromkeys(self._spelled[each].name for each in keys))
