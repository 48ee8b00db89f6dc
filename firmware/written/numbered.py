"""A feed with the number of one of its frames, as it is written: ``take.mov#120``."""

import re

from overlays.wording.read_number import whole

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
