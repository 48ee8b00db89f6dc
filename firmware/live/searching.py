"""What takes long to find is looked for beside the live frames, on a copy of one of them.

A chart is looked for in a second on a small board. Were that done between two frames, the picture
would stand still and its reading grow old meanwhile; so the measuring thread only says what is to
be looked for, and takes what has been found since.
"""

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Protocol

from firmware.clock import Clock
from firmware.instruments.scene import Scene
from firmware.system.threads import STOP_S, Aside

RESTS = 2
"""From the start of one search to the next, in lengths of the one before: it has half of a core."""


@dataclass(frozen=True, slots=True, eq=False)
class Sought:
    """What is to be looked for.

    Attributes
    ----------
    name:
        Of the instrument: of each the newest answer is kept.
    key:
        All that the answer depends on besides the frame; an answer to another is none to this.
    find:
        Finds it in a scene; reads no counts of it, since these are used again meanwhile.
    since_ns:
        An answer from a frame measured before this moment does not count.
    every_ns:
        Least time from the start of one search to the next.
    """

    name: str
    key: tuple[object, ...]
    find: Callable[[Scene], object]
    since_ns: int
    every_ns: int


@dataclass(frozen=True, slots=True, eq=False)
class LastFound:
    """An answer, and when the frame that it is of was measured."""

    answer: object
    at_ns: int


class Searches(Protocol):
    """Where what takes long is found."""

    def look(self, sought: Sought, scene: Scene) -> LastFound | None:
        """The newest answer there is; None where there is none yet."""
        ...

    def close(self) -> None:
        """Look for nothing any more."""
        ...


class AtOnce:
    """Finds it while the caller waits: for a held frame, and for a run of so many frames."""

    def look(self, sought: Sought, scene: Scene) -> LastFound | None:
        """The answer of this very scene."""
        return LastFound(sought.find(scene), scene.now_ns)

    def close(self) -> None:
        """Nothing is left to be done."""


AT_ONCE = AtOnce()


@dataclass(frozen=True, slots=True, eq=False)
class _Done:
    key: tuple[object, ...]
    found: LastFound
    took_ns: int


@dataclass(frozen=True, slots=True, eq=False)
class _Search:
    sought: Sought
    begun: Aside[_Done]


class BesideFrames:
    """Finds one thing at a time in a thread of its own. `look` belongs to one thread."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._search: _Search | None = None
        self._done: dict[str, _Done] = {}

    def look(self, sought: Sought, scene: Scene) -> LastFound | None:
        """The newest answer there is; never waits for one, but begins the next where it is due.

        Raises
        ------
        BaseException
            Whatever looking for it raised.
        """
        self._take()
        done = self._done.get(sought.name)
        if done is not None and (done.key != sought.key or done.found.at_ns < sought.since_ns):
            done = None
        if self._search is None and _is_due(done, sought, scene.now_ns):
            self._begin(sought, scene.kept())
        return None if done is None else done.found

    def close(self) -> None:
        """Let a search under way come to its end, but wait no longer than for any thread."""
        search, self._search = self._search, None
        if search is None:
            return
        with suppress(Exception):  # nobody asks any more for what it finds, nor why it does not
            search.begun.result(STOP_S)

    def _take(self) -> None:
        search = self._search
        if search is None or not search.begun.is_over:
            return
        self._search = None
        self._done[search.sought.name] = search.begun.result()

    def _begin(self, sought: Sought, scene: Scene) -> None:
        def made() -> _Done:
            start_ns = self._clock.now_ns()
            found = LastFound(sought.find(scene), scene.now_ns)
            return _Done(sought.key, found, self._clock.now_ns() - start_ns)

        self._search = _Search(sought, Aside("search", made))


def _is_due(done: _Done | None, sought: Sought, now_ns: int) -> bool:
    if done is None:
        return True
    return not 0 <= now_ns - done.found.at_ns < max(sought.every_ns, RESTS * done.took_ns)
