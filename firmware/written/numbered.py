"""A feed with one of its frames and a place in it, as written: ``take.mov#120@0.6,0.4``."""

import re

from overlays.wording.read_number import whole

_PLACED = re.compile(r"(.+)@([0-9.]{1,9},[0-9.]{1,9}(?:,[0-9x]{1,9})?)", re.DOTALL)
_NUMBERED = re.compile(r"(.+)#(\d{1,7})", re.DOTALL)


def split_feed(text: str) -> tuple[str, int]:
    """A feed and the number of its frame, of ``take.mov#120``; frame 0 where there is none.

    Examples
    --------
    >>> split_feed("take.mov#120"), split_feed("bench")
    (('take.mov', 120), ('bench', 0))
    """
    found = _NUMBERED.fullmatch(text)
    return (text, 0) if found is None else (found[1], whole(found[2]))


def split_place(text: str) -> tuple[str, str | None]:
    """A feed and where in it to read, of ``take.mov#120@0.6,0.4``; None where it says no place.

    Examples
    --------
    >>> split_place("take.mov#120@0.6,0.4"), split_place("me@home.mov")
    (('take.mov#120', '0.6,0.4'), ('me@home.mov', None))
    """
    found = _PLACED.fullmatch(text)
    return (text, None) if found is None else (found[1], found[2])
