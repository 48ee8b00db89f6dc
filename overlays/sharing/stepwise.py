"""Work that takes long, in steps, so that whoever does it may do other things between them.

A generator yields after each step and returns what it found; `whole` does all of them at once.
"""

from collections.abc import Generator
from typing import TypeVar

Found = TypeVar("Found")

Steps = Generator[None, None, Found]


def whole(steps: Steps[Found]) -> Found:
    """All steps, one after the other.

    Parameters
    ----------
    steps:
        Not begun, or under way.

    Returns
    -------
    Found
        What the last one returns; what one of them raises is raised here.

    Examples
    --------
    >>> def sum_of(numbers):
    ...     total = 0
    ...     for number in numbers:
    ...         total += number
    ...         yield
    ...     return total
    >>> whole(sum_of([1, 2, 3]))
    6
    """
    while True:
        try:
            next(steps)
        except StopIteration as end:
            found: Found = end.value
            return found
