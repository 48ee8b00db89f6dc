"""Workers that share the loops over a frame, and the parts that each of them works on.

A loop over a frame is cut into swaths, runs of rows or columns that know nothing of each other, so
that what comes out is the same to the last bit however many workers there are and whoever is first.
Who the workers are is not known here: `firmware.system.crew_threads` has threads; alone, the caller
does one swath after the other.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Protocol

Task = Callable[[], None]
"""A part of the work; it writes nothing that another part of the same work reads or writes."""


class Crew(Protocol):
    """Those who share work. Used by several threads at once."""

    @property
    def workers(self) -> int:
        """How many work at most, the caller among them; 1 or more."""
        ...

    def together(self, tasks: Sequence[Task]) -> None:
        """Do all tasks, in any order; back when all are done.

        Parameters
        ----------
        tasks:
            That know nothing of each other. What one raises is raised here, once all have ended.
        """
        ...


class _Alone:
    @property
    def workers(self) -> int:
        """One: the caller."""
        return 1

    def together(self, tasks: Sequence[Task]) -> None:
        """One after the other; see `Crew`."""
        for task in tasks:
            task()


ALONE: Crew = _Alone()
"""The caller and nobody else."""


def swaths(total: int, count: int, step: int = 1) -> list[tuple[int, int]]:
    """Cut rows or columns into swaths of about the same size.

    Parameters
    ----------
    total:
        Rows or columns, 1 or more.
    count:
        Swaths at most; there are fewer where there are not so many steps.
    step:
        Swaths begin at multiples of it.

    Returns
    -------
    list of tuple
        First and one past the last of each; together all, none twice, none empty.

    Examples
    --------
    >>> swaths(1080, 2), swaths(7, 3, 2), swaths(3, 1)
    ([(0, 540), (540, 1080)], [(0, 2), (2, 4), (4, 7)], [(0, 3)])
    """
    steps = -(-total // step)
    parts = max(1, min(count, steps))
    edges = [steps * n // parts * step for n in range(parts)] + [total]
    return list(pairwise(edges))
