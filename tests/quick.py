"""Which tests of a whole run are left out by the command for every day."""

import math
from collections import Counter
from collections.abc import Collection, Mapping

QUICK_S = 11.0
"""What quick tests may take of each process that runs them. The command for every day should end
within a minute; more than half of that goes into loading, collecting, lint and types."""

LONG_S = 2.0
"""No quick test takes so long."""
ALWAYS = "tests/test_quality.py"
"""Lint and types are asked for every day, however long they are waited for."""


def with_shares(took: Mapping[str, float], set_up: Mapping[str, float]) -> dict[str, float]:
    """Seconds of each test with its share of what is set up for its file.

    Whoever comes first waits for what a file sets up. Were it told of that test alone, that one
    would be left out, and the next would wait as long.
    """
    many = Counter(_file(name) for name in took)
    return {
        name: seconds + set_up.get(_file(name), 0.0) / many[_file(name)]
        for name, seconds in took.items()
    }


def with_waits(took: Mapping[str, float], asked: Collection[str]) -> dict[str, float]:
    """Seconds of each test; without an end for those that asked for what went on beside the tests.

    Among quick ones alone they would wait for it. Lint and types are as they were.
    """
    waiting = {name for name in asked if _file(name) != ALWAYS}
    return {name: math.inf if name in waiting else seconds for name, seconds in took.items()}


def _file(name: str) -> str:
    return name.split("::", maxsplit=1)[0]


def slow_ones(took: Mapping[str, float], processes: int) -> dict[str, float]:
    """Tests that find no room, the quickest having been let in first, with their seconds."""
    room = QUICK_S * processes
    out = {}
    for name in sorted(took, key=lambda each: (took[each], each)):
        room -= took[name]
        if room < 0.0:
            out[name] = round(took[name], 3)
    return out


def stragglers(took: Mapping[str, float]) -> dict[str, float]:
    """Tests that took long in a run of the quick ones, with their seconds; the next is without.

    In the whole run another test had paid for what they share, or it went on beside.
    """
    return {
        name: round(seconds, 3)
        for name, seconds in took.items()
        if seconds >= LONG_S and _file(name) != ALWAYS
    }
