"""In the place of a screen that is not there: everything goes on, and one that comes is used."""

import errno
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Protocol

from firmware.actions import Action, Leave
from firmware.clock import Clock
from firmware.errors import ScreenError
from overlays.draw.moment.shown import Shown

LOOK_NS = 500_000_000
"""From one look for a screen to the next."""
AGAIN_NS = 5_000_000_000
"""From one that could not be opened to the next try; opening takes the time of whoever draws."""
EAGER = 10
"""Tries that come as often as looks: one who was just ended holds the display for a moment."""

NO_SCREEN = "there is no screen"


class AnyScreen(Protocol):
    """What is drawn on, or stands in its place."""

    @property
    def missing(self) -> str:
        """One sentence where its typeface is not installed, else empty."""
        ...

    def actions(self) -> list[Action]:
        """What was pressed since the last call; never waits."""
        ...

    def paint(self, shown: Shown) -> None:
        """Paint a moment, not yet seen."""
        ...

    def flip(self) -> None:
        """Let it be seen."""
        ...

    def is_lit(self) -> bool | None:
        """Whether what is painted can be told from a black screen; None where there is none."""
        ...

    def png(self) -> bytes:
        """What is on the screen, as the content of a PNG file."""
        ...

    def save(self, path: Path) -> None:
        """Write what is on the screen as PNG."""
        ...

    def close(self) -> None:
        """Let go of the display."""
        ...


class Blind:
    """A board without a picture, until there is a screen.

    Parameters
    ----------
    clock:
        Time.
    open_screen:
        Opens a screen, or answers None where there is none yet; raises `ScreenError` where one
        cannot be opened.
    tell:
        Told every moment that would be painted.
    is_told_to_end:
        Whether the system wants it to end: without a window nobody else says so.
    say:
        Takes a sentence for the log.
    at_end:
        Called when it is closed.
    """

    def __init__(
        self,
        clock: Clock,
        open_screen: Callable[[], AnyScreen | None] = lambda: None,
        tell: Callable[[Shown], None] = lambda _shown: None,
        is_told_to_end: Callable[[], bool] = lambda: False,
        say: Callable[[str], None] = lambda _words: None,
        at_end: Callable[[], None] = lambda: None,
    ) -> None:
        self._clock, self._open, self._tell = clock, open_screen, tell
        self._is_told_to_end, self._say, self._at_end = is_told_to_end, say, at_end
        self._screen: AnyScreen | None = None
        self._last: Shown | None = None
        self._next_ns, self._refused = clock.now_ns(), 0

    @property
    def missing(self) -> str:
        """Of a screen that is not there nothing is missing."""
        return "" if self._screen is None else self._screen.missing

    def actions(self) -> list[Action]:
        """What was pressed on a screen that has come, and that the system wants the end."""
        if self._screen is None:
            self._look()
        pressed = [] if self._screen is None else self._screen.actions()
        return [*pressed, Leave()] if self._is_told_to_end() else pressed

    def _look(self) -> None:
        now_ns = self._clock.now_ns()
        if now_ns < self._next_ns:
            return
        self._next_ns = now_ns + LOOK_NS
        try:
            self._screen = self._open()
        except ScreenError as fault:
            self._refused += 1
            if self._refused == 1:
                self._say(str(fault))
            if self._refused > EAGER:
                self._next_ns = now_ns + AGAIN_NS
            return
        if self._screen is not None:
            self._say("a screen has come")
            if self._screen.missing:
                self._say(self._screen.missing)
            if self._last is not None:
                self._screen.paint(self._last)
                self._screen.flip()

    def paint(self, shown: Shown) -> None:
        """Paint it on a screen that has come; else remember what is said."""
        self._tell(shown)
        if self._screen is not None:
            self._screen.paint(shown)
        else:
            # What is said, without the frame: that is the feed's again before a screen comes.
            self._last = replace(shown, measured=None)

    def flip(self) -> None:
        """Let it be seen, where there is anything to see."""
        if self._screen is not None:
            self._screen.flip()

    def is_lit(self) -> bool | None:
        """Whether one that has come is; None where there is none."""
        return None if self._screen is None else self._screen.is_lit()

    def png(self) -> bytes:
        """What is on a screen that has come.

        Raises
        ------
        OSError
            There is none.
        """
        if self._screen is None:
            raise OSError(errno.ENODEV, NO_SCREEN)
        return self._screen.png()

    def save(self, path: Path) -> None:
        """Write what is on a screen that has come.

        Raises
        ------
        ScreenError
            There is none, or the file cannot be written.
        """
        if self._screen is None:
            raise ScreenError(f"{path}: the picture cannot be saved: {NO_SCREEN}")
        self._screen.save(path)

    def close(self) -> None:
        """Let go of a screen that has come."""
        if self._screen is not None:
            self._screen.close()
        self._at_end()
