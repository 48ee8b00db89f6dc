"""A version on trial says when it has proved itself: it measures, shows, and the watchdog is fed.

What it says lies in the service's folder in memory, which is emptied whenever the service stops,
and names the version: a proof is of the process that runs (`firmware.update.guard` reads it).
"""

from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path

from firmware.clock import Clock
from firmware.health.record import run_folder
from firmware.live.freshness import Freshness
from firmware.system.files import read_small
from firmware.update.places import PROVED, RELEASE_VARIABLE, SAID, WAITING, Places
from firmware.update.version import NAME
from overlays.draw.moment.shown import Face

FRAMES = 3
"""Pictures that are live and seen, before it is believed: one may be a leftover of the start."""
LOOK_NS, NEWS_NS = 5_000_000_000, 60_000_000_000
"""How often it is looked whether an update has come to something, and for how long that is news."""
MOST_SAID = 1000
"""Bytes of what is told of an update."""


class Proving:
    """The trial of the version that runs, if it is on one; else nothing is ever done.

    Parameters
    ----------
    environ:
        Of the process: the folder of its version and that of the service stand there.
    is_fed_since:
        Whether the watchdog was fed since a time, or none waits.
    clock:
        Time.
    is_lit:
        Whether anything can be told apart on the screen; None where there is no screen.
    places:
        Where it stands that a version is on trial.
    told:
        Where a unit's updater says what an update came to.
    """

    def __init__(
        self,
        environ: Mapping[str, str],
        clock: Clock,
        is_fed_since: Callable[[int], bool],
        is_lit: Callable[[], bool | None],
        places: Places | None = None,
        told: Path = SAID,
    ) -> None:
        self._clock, self._is_fed_since, self._is_lit = clock, is_fed_since, is_lit
        self._folder, self._version = run_folder(environ), _version(environ)
        # Looked at once: a trial begins with a start.
        is_on_trial = (places or Places()).trial.exists()
        self._is_over = self._folder is None or not self._version or not is_on_trial
        self._waits = False
        self._file = told
        self._told = told_of_versions(told)
        self._look_ns = self._until_ns = clock.now_ns()
        self._first_ns: int | None = None

    @property
    def is_over(self) -> bool:
        """Whether there is nothing (more) to prove."""
        return self._is_over

    def first(self) -> None:
        """The first measured picture is seen now."""
        self._first_ns = self._clock.now_ns()

    def news(self) -> str:
        """What an update by itself came to since this was started; said again for a minute."""
        now_ns = self._clock.now_ns()
        if now_ns < self._look_ns:
            return ""
        self._look_ns = now_ns + LOOK_NS
        told, before = told_of_versions(self._file), self._told
        if told != before:
            self._told, self._until_ns = told, now_ns + NEWS_NS
        return told[0] if told and now_ns < self._until_ns else ""

    def turn(self, seen: Freshness, frames_shown: int) -> str:
        """Look at a moment; what is to be said on the screen, if anything.

        Parameters
        ----------
        seen:
            What is on the screen.
        frames_shown:
            How many live pictures were seen so far.
        """
        if not self._is_over:
            self._prove(seen, frames_shown)
        return self.news()

    def _prove(self, seen: Freshness, frames_shown: int) -> None:
        waits = seen.face is Face.LOST
        if waits is not self._waits:
            self._waits = waits
            self._say(WAITING, self._version if waits else "")
        is_live = seen.face is Face.LIVE and frames_shown >= FRAMES and self._first_ns is not None
        # A unit without a screen says what it finds by its lamp: there is nothing to be lit.
        if is_live and self._is_fed_since(self._first_ns or 0) and self._is_lit() is not False:
            self._is_over = True
            self._say(PROVED, self._version)

    def _say(self, name: str, words: str) -> None:
        assert self._folder is not None
        unfinished = Path(self._folder) / f".{name}"
        with suppress(OSError):
            unfinished.write_text(f"{words}\n", encoding="ascii")
            unfinished.chmod(0o644)
            unfinished.replace(self._folder / name)


def _version(environ: Mapping[str, str]) -> str:
    name = Path(environ.get(RELEASE_VARIABLE, "")).name
    return name if NAME.fullmatch(name) else ""


def told_of_versions(file: Path = SAID) -> tuple[str, ...]:
    """What the last update by itself came to since the machine was switched on, if any was."""
    try:
        words = read_small(file, MOST_SAID).decode("utf-8", "replace").strip()
    except OSError:
        return ()
    return (" ".join(words.split()),) if words else ()
