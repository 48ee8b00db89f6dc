"""Looks before every start of the unit, when a trial's time is over, and when a version is proved.

It is kept beside the versions and is part of none: one that cannot even begin is given up all the
same. So it stands on Python's own library alone, and on modules that do (`PARTS`, which
systemd/install.sh puts into /opt/midgrey/guard).
"""

import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TextIO

from firmware.system.files import read_small
from firmware.update import choices
from firmware.update.choices import Decision, Doing, VersionsInUse
from firmware.update.places import PROVED, RUN_FOLDER, WAITING, Places
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


def before_start(places: Places, out: TextIO) -> None:
    """Count a start on trial, or go back."""
    _do(places, choices.before_start, out)


def time_is_up(places: Places, run: Path, out: TextIO) -> bool:
    """Give up a version whose time is over; whether that was done."""
    waits = _said(run / WAITING)
    decide = lambda now: choices.time_is_up(now, waits_for_feed=waits == now.current)  # noqa: E731
    return _do(places, decide, out).doing is Doing.GO_BACK


def proved(places: Places, run: Path, out: TextIO) -> bool:
    """End the trial of the version that says it has proved itself; whether there was one."""
    version = _said(run / PROVED)
    return _do(places, lambda now: choices.proved(now, version), out).doing is Doing.END_TRIAL


def _do(places: Places, decide: Callable[[VersionsInUse], Decision], out: TextIO) -> Decision:
    with switching(places):
        now = standing(places)
        choice = decide(now)
        carry_out(places, now, choice)
        then = standing(places)
    if choice.doing is Doing.GO_BACK:
        left = "a version" if now.current is None else now.current
        print(f"midgrey: {left} is given up: {choice.why}; back to {then.current}", file=out)
    elif choice.doing is Doing.END_TRIAL and then.current is not None:
        print(f"midgrey: {then.current} stays", file=out)
    return choice


def _said(path: Path) -> str:
    """What a running process has left there; its folder is emptied at every stop."""
    try:
        return read_small(path, MOST_BYTES).decode("ascii", "replace").strip()
    except OSError:
        return ""


def main(words: Sequence[str], places: Places, run: Path = RUN_FOLDER) -> int:
    """``start``, ``time`` or ``proved``; the exit status."""
    if list(words) == ["start"]:
        before_start(places, sys.stderr)
    elif list(words) == ["time"]:
        return WENT_BACK if time_is_up(places, run, sys.stderr) else 0
    elif list(words) == ["proved"]:
        proved(places, run, sys.stderr)
    else:
        sys.stderr.write("midgrey: the guard is told start, time or proved\n")
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:], Places(Path(os.environ.get("MIDGREY_HOME", Places().home)))))
