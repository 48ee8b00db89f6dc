"""Looks before every start of the unit, when a trial's time is over, and when a version is proved.

It is kept beside the versions and is part of none: one that cannot even begin is given up all the
same. So it stands on Python's own library alone, and on modules that do (`PARTS`, which
systemd/install.sh puts into /opt/midgrey/guard).
"""

import os
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TextIO

from firmware.system.files import read_small, save
from firmware.update import choices
from firmware.update.choices import Decision, Doing, VersionsInUse
from firmware.update.places import PROVED, RUN_FOLDER, SAID, WAITING, Places
from firmware.update.slots import carry_out, standing, switching

PARTS = (
    "firmware/__init__.py",
    "firmware/system/__init__.py",
    "firmware/system/files.py",
    "firmware/update/__init__.py",
    "firmware/update/choices.py",
    "firmware/update/guard.py",
    "firmware/update/places.py",
    "firmware/update/slots.py",
    "firmware/update/version.py",
)
"""All that it needs, itself among it."""

MOST_BYTES = 200
WENT_BACK = 75
"""Exit status of `time` where the previous version is to be started: a restart is then due."""


def before_start(places: Places, out: TextIO, told: Path = SAID) -> None:
    """Count a start on trial, or go back."""
    _do(places, choices.before_start, out, told)


def time_is_up(places: Places, run: Path, out: TextIO, told: Path = SAID) -> bool:
    """Give up a version whose time is over; whether that was done."""
    waits = _said(run / WAITING)
    decide = lambda now: choices.time_is_up(now, waits_for_feed=waits == now.current)  # noqa: E731
    return _do(places, decide, out, told).doing is Doing.GO_BACK


def proved(places: Places, run: Path, out: TextIO) -> bool:
    """End the trial of the version that says it has proved itself; whether there was one."""
    version = _said(run / PROVED)
    decide = lambda now: choices.proved(now, version)  # noqa: E731
    return _do(places, decide, out, SAID).doing is Doing.END_TRIAL


def _do(
    places: Places, decide: Callable[[VersionsInUse], Decision], out: TextIO, told: Path
) -> Decision:
    with switching(places):
        now = standing(places)
        choice = decide(now)
        carry_out(places, now, choice)
        then = standing(places)
    if choice.doing is Doing.GO_BACK:
        left = "a version" if now.current is None else now.current
        words = f"{left} is given up: {choice.why}; back to {then.current}"
        print(f"midgrey: {words}", file=out)
        _tell(told, words)
    elif choice.doing is Doing.END_TRIAL and then.current is not None:
        print(f"midgrey: {then.current} stays", file=out)
    return choice


def _tell(told: Path, words: str) -> None:
    """Leave it for the screen, which shows it as long as the machine is on."""
    with suppress(OSError):
        told.parent.mkdir(mode=0o755, exist_ok=True)
        save(told, f"{words}\n".encode())
        told.chmod(0o644)


def _said(path: Path) -> str:
    """What a running process has left there; its folder is emptied at every stop."""
    try:
        return read_small(path, MOST_BYTES).decode("ascii", "replace").strip()
    except OSError:
        return ""


def main(words: Sequence[str], places: Places, run: Path = RUN_FOLDER, told: Path = SAID) -> int:
    """``start``, ``time`` or ``proved``; the exit status."""
    if list(words) == ["start"]:
        before_start(places, sys.stderr, told)
    elif list(words) == ["time"]:
        return WENT_BACK if time_is_up(places, run, sys.stderr, told) else 0
    elif list(words) == ["proved"]:
        proved(places, run, sys.stderr)
    else:
        sys.stderr.write("midgrey: the guard is told start, time or proved\n")
        return 2
    return 0


if __name__ == "__main__":
    HOME = Path(os.environ.get("MIDGREY_HOME", Places().home))
    TOLD = Path(os.environ.get("MIDGREY_TOLD", SAID))
    sys.exit(main(sys.argv[1:], Places(HOME), told=TOLD))
