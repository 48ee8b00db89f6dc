"""Where in a run the tests stand that ask for what goes on beside it."""

from collections.abc import Sequence
from pathlib import Path

from tests.places import ROOT

SHARE = 0.6
"""Of the tests that the process which began it has of its own, so many come before."""
FIRST_TESTS = 500
"""After so many tests of that process is begun what wants loops in processes of its own: by then
most are compiled, and it does not compile for itself what the tests are compiling."""


BENCH = "tests/bench/"
LATER = 0.45
"""Share of the tests before those of the benchmarks, whose processes compile loops for themselves:
by then most are there. No process of a run begins with them, nor are they the last."""


def later(files: Sequence[str]) -> list[int]:
    """In which order tests are run: as they come, but for those of the benchmarks.

    Parameters
    ----------
    files:
        The file of each test, from the root.

    Returns
    -------
    list[int]
        Places in `files`, each once.
    """
    others = [place for place, file in enumerate(files) if not file.startswith(BENCH)]
    at = int(LATER * len(others))
    slow = [place for place, file in enumerate(files) if file.startswith(BENCH)]
    return [*others[:at], *slow, *others[at:]]


def asked_at(others: int, processes: int) -> int:
    """How many of the other tests come before those that ask.

    Where one process runs all of them it comes last. Of several the first begins what goes on
    beside the tests, and must be the one that asks: the first n-th of the tests is its own, and
    whoever is done with his takes the latter half of what it still has, so they stand a good way
    before its end.

    Parameters
    ----------
    others:
        Tests that ask for nothing of the kind.
    processes:
        Which share the tests; 0 where this one runs all.
    """
    return int(SHARE * others / processes) if processes else others


def files_of_tests() -> list[Path]:
    """Every file of tests, in the order of their names."""
    return sorted((ROOT / "tests").rglob("test_*.py"))


def turned(files: Sequence[Path], place: int, processes: int) -> list[Path]:
    """The same files, begun elsewhere by each of several processes.

    A file that is new is compiled by whoever comes to it first, with what it asserts written out:
    that takes longer than all else of its collection, and the others find it done.

    Parameters
    ----------
    files:
        In the same order for each process.
    place:
        Which process this is, from 0.
    processes:
        How many there are.
    """
    begin = len(files) * place // processes
    return [*files[begin:], *files[:begin]]
