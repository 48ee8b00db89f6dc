"""What was set, over one run: taken up at its start and on every feed, and kept as it changes."""

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from firmware.clock import Clock
from firmware.kept.document import Kept, KeptAsked
from firmware.kept.keeper import Keeper
from firmware.kept.settings_file import factory_start, read_kept
from firmware.live.locked import REFUSED
from firmware.live.remembered import kept_of, restored
from firmware.live.run_plan import RunPlan
from firmware.live.state import State
from firmware.presets.model import Allowed
from overlays.measure.spot.spot import SpotPlace


class Remembering:
    """Between the state and the file that is kept of it; without a file, from feed to feed only.

    Parameters
    ----------
    options:
        Which file, and what the options ask for.
    clock:
        Time.
    is_factory:
        Whether what was set before is to be left; asked only where there is something.

    Attributes
    ----------
    said:
        What is to be said of the file at the start.
    """

    def __init__(
        self, options: RunPlan, clock: Clock, is_factory: Callable[[], bool] = lambda: False
    ) -> None:
        self._asked, self._lock = asked_of(options), options.lock
        self._kept: Kept | None = None
        self._start: Kept | None = None
        self._seen: State | None = None
        self._keeper: Keeper | None = None
        self.said: tuple[str, ...] = ()
        if options.keep is not None:
            path = options.keep if options.lock is None else locked_file(options.keep)
            self._open(path, clock, is_factory)

    def _open(self, path: Path, clock: Clock, is_factory: Callable[[], bool]) -> None:
        if os.path.lexists(path) and is_factory():
            words = factory_start(path)
        else:
            found = read_kept(path)
            self._kept, words = found.kept, found.said
        self.said = (words,) if words else ()
        on_card = None if self._kept is None else self._kept.content()
        self._keeper = Keeper(path, clock, on_card)
        self._keeper.start()

    def begin(self, state: State) -> State:
        """The state to begin with on a feed, from the one that the options make."""
        if self._kept is not None:
            found = restored(state, self._kept, self._asked)
            # A locked unit starts as its preset says, whatever was done while the lock was lifted.
            state = found if self._lock is None else replace(state, spot=self._spot(state, found))
        self._seen, self._start = state, kept_of(state, self._asked)
        return state

    def _spot(self, state: State, found: State) -> SpotPlace:
        may_move = self._lock is not None and Allowed.SPOT in self._lock.allows
        return found.spot if may_move else state.spot

    def note(self, state: State) -> str:
        """Keep a state that has changed; what is to be said, once. Never waits."""
        said = "" if self._keeper is None else self._keeper.take_said()
        if state is not self._seen:
            said = said or _refused(self._seen, state)
            self._seen = state
            kept = kept_of(state, self._asked)
            if kept != self._start:
                # As long as nothing is set on this feed, what was set on another one stands.
                self._start, self._kept = None, kept
                if self._keeper is not None:
                    self._keeper.note(kept.content())
        return said

    def ask_anew(self, view: str | None, profile: str | None) -> None:
        """The kit asks for another view or profile: what is set from now on goes over that."""
        self._asked = KeptAsked(
            view=self._asked.view if view is None else view,
            profile=self._asked.profile if profile is None else profile,
        )

    def close(self) -> str:
        """Write what is not written yet; says what could not be written."""
        return "" if self._keeper is None else self._keeper.close()


def _refused(before: State | None, state: State) -> str:
    """What is said of a press that a lock has refused."""
    was, now = None if before is None else before.locking, state.locking
    return REFUSED if was is not None and now is not None and was.refusals != now.refusals else ""


def locked_file(path: Path) -> Path:
    """Where a locked unit keeps its spot: what was set on the same unit unlocked stays as it is."""
    return path.with_name(f"{path.stem}.locked{path.suffix}")


def asked_of(options: RunPlan) -> KeptAsked:
    """What the options ask for of all that can be set."""
    asked = options.profile or options.overrides.curve
    return KeptAsked(view=options.view.name, profile=None if asked is None else asked[:200])
