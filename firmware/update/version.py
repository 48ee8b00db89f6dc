"""Names of versions, and which of two is the newer."""

import re

NAME = re.compile(r"(\d{1,4})\.(\d{1,4})\.(\d{1,4})(?:-[0-9a-z]{1,16})?", re.ASCII)
"""Three numbers, and a label that tells builds of the same ones apart."""


def numbers_of(version: str) -> tuple[int, int, int] | None:
    """The three numbers of a version; None of what is no version.

    Examples
    --------
    >>> numbers_of("0.10.2-1a2b3c4d"), numbers_of("../etc")
    ((0, 10, 2), None)
    """
    found = NAME.fullmatch(version)
    if found is None:
        return None
    first, second, third = (int(each) for each in found.groups())
    return first, second, third


def is_older(version: str, than: str) -> bool:
    """Whether a version is older than another; builds of the same numbers are not.

    Examples
    --------
    >>> is_older("0.9.0", "0.10.0"), is_older("0.9.0-b", "0.9.0-a")
    (True, False)
    """
    mine, others = numbers_of(version), numbers_of(than)
    return mine is not None and others is not None and mine < others
