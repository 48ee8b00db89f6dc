"""Goes on looking for a feed while the bench stands in for one."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Protocol

from firmware.clock import Clock
from firmware.errors import (
    FeedFormatError,
    FeedNotFoundError,
    FeedOptionError,
    FirmwareError,
)
from firmware.feeds.base import Pace
from firmware.feeds.opening import is_device
from firmware.opening.overrides import Overrides
from firmware.opening.session import Session, absent_session, found_session, open_session
from firmware.system.threads import Newest, Worker, stop_all
from overlays.errors import OverlayError

AGAIN_S = 1.0
"""From one look to the next: a cable that is plugged in is seen before one wonders."""

STAND_IN = (
    "no feed was found, so this is the simulated bench: a feed that is plugged in takes its place"
)
"""Said for as long as it is true."""


class WhatIsAsked(Protocol):
    """What a person asked for."""

    @property
    def feed(self) -> str | None:
        """A feed as it is spelt; None where none was named."""
        ...

    @property
    def profile(self) -> str | None:
        """A profile by name or path."""
        ...

    @property
    def overrides(self) -> Overrides:
        """What goes over it."""
        ...

    @property
    def devices(self) -> Path:
        """Where device files are looked for."""
        ...

    @property
    def frames(self) -> int | None:
        """How many are wanted; None where it goes on until it is stopped."""
        ...

    @property
    def is_service(self) -> bool:
        """Whether nobody sits at it who could name another feed."""
        ...


def run_session(plan: WhatIsAsked, clock: Clock) -> Session:
    """What a run begins with: the feed that was asked for, or what is shown until it is there.

    A device that is missing may be plugged in. What else is wrong with the name of a feed is told
    to whoever typed it; of a unit that nobody sits at it is shown, and looked at again.

    Raises
    ------
    FirmwareError, OverlayError
        The feed cannot be had and is not to be waited for, or the profile cannot be had.
    """
    try:
        return _open(plan, clock)
    except (FeedNotFoundError, FeedFormatError, FeedOptionError) as fault:
        name = plan.feed
        missing = isinstance(fault, FeedNotFoundError) and plan.frames is None
        if name is None or not (plan.is_service or (missing and is_device(name))):
            raise
        return absent_session(name, str(fault), plan.profile, plan.overrides, clock=clock)


def _open(plan: WhatIsAsked, clock: Clock) -> Session:
    return open_session(
        plan.feed,
        plan.profile,
        plan.overrides,
        clock=clock,
        pace=Pace.LIVE,
        devices=plan.devices,
    )


class Looker:
    """Looks in a thread of its own, until it has found something once.

    Parameters
    ----------
    find:
        Opens a feed, or answers None where there is none yet; None looks for nothing.
    again_s:
        From one look to the next.
    """

    def __init__(
        self, find: Callable[[], Session | None] | None = None, again_s: float = AGAIN_S
    ) -> None:
        self._find, self._again_s = find, again_s
        self._found: Newest[Session] = Newest()
        self._here: Session | None = None
        self._is_wanted = True
        self._worker = None if find is None else Worker("look for a feed", self._look)

    def start(self) -> None:
        """Begin, where there is something to look for."""
        if self._worker is not None:
            self._worker.start()

    def has_found(self) -> bool:
        """Whether there is a feed to change over to; answers at once."""
        if self._here is None:
            self._here = self._found.take(0.0)
        return self._is_wanted and self._here is not None

    @property
    def has_told(self) -> bool:
        """Whether somebody who asked was told that there is one; looks for no other."""
        return self._here is not None

    def is_over(self) -> bool:
        """The same, for whoever waits for it.

        Raises
        ------
        BaseException
            What ended the looking: a feed would else be waited for for ever.
        """
        if self._worker is not None and self._worker.fault is not None:
            raise self._worker.fault
        return self.has_found()

    def give_up(self) -> None:
        """Whatever is found from now on, nobody changes over to it: the run ends."""
        self._is_wanted = False

    def take(self) -> Session | None:
        """What was found, which the caller closes from then on; None where nothing was."""
        if not self.has_found():
            return None
        found, self._here = self._here, None
        return found

    def close(self) -> None:
        """Look no more, and close what nobody took."""
        if self._worker is not None:
            stop_all(self._worker)
        left = self._here or self._found.take(0.0)
        if left is not None:
            left.feed.close()

    def _look(self) -> None:
        assert self._worker is not None  # this is its turn
        assert self._find is not None  # the same
        self._worker.pause(self._again_s)
        found = self._find()
        if found is not None:
            self._found.put(found)
            self._worker.ask_to_stop()


@contextmanager
def looking(plan: WhatIsAsked, session: Session, clock: Clock) -> Iterator[Looker]:
    """Look for as long as it lasts, where no feed was found or the one named is not there.

    Parameters
    ----------
    plan:
        What was asked for.
    session:
        What was opened for it.
    """

    def find() -> Session | None:
        try:
            if session.is_absent:
                return _open(plan, clock)
            return found_session(
                plan.profile, plan.overrides, clock=clock, pace=Pace.LIVE, devices=plan.devices
            )
        except (FirmwareError, OverlayError, OSError):
            return None  # there is something, but not yet a feed: the next look may find it one

    wanted = session.is_stand_in or session.is_absent
    looker = Looker(find if wanted else None, AGAIN_S)
    looker.start()
    try:
        yield looker
    finally:
        looker.close()
