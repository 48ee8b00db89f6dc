"""Versions on the card: read, switched and counted, each step whole or not at all.

A file or link is changed by renaming a new one over it, and the folder is brought to the card
before the next step: power that goes in between leaves the old one or the new one (rename(2)).
"""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from firmware.system.files import read_small, save, settle
from firmware.update.choices import Decision, Doing, Trial, VersionsInUse
from firmware.update.places import COMMAND, Places
from firmware.update.version import NAME

MOST_BYTES = 4096
"""Of each of the small files."""
KEPT_LINES = 8
"""Versions that were given up, the newest last."""


@contextmanager
def switching(places: Places) -> Iterator[None]:
    """Nobody else changes links or trial meanwhile: each who does holds it for some steps only.

    The wait has no bound of its own, since the lock goes with the process that has it; the unit's
    start, which waits here too, is bounded by systemd.
    """
    descriptor = os.open(places.home / ".switching", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX)
        yield
    finally:
        os.close(descriptor)


def standing(places: Places) -> VersionsInUse:
    """How versions stand now."""
    return VersionsInUse(
        _led_to(places, places.current), _led_to(places, places.previous), _trial(places)
    )


def carry_out(places: Places, now: VersionsInUse, choice: Decision) -> None:
    """Do what was decided of how versions stood."""
    if choice.doing is Doing.COUNT and now.trial is not None:
        put_on_trial(places, Trial(now.trial.version, now.trial.starts + 1))
    elif choice.doing is Doing.END_TRIAL:
        end_trial(places)
    elif choice.doing is Doing.GO_BACK and now.previous is not None:
        note_given_up(places, _named(places.current) or "?", choice.why)
        point(places, places.current, now.previous)
        end_trial(places)


def switch(places: Places, version: str) -> None:
    """Start a version from now on, on trial; what has proved itself stays to go back to."""
    now = standing(places)
    if now.current is not None and not now.is_on_trial:
        point(places, places.previous, now.current)
    # Before the link: a version that is started is on trial or has proved itself.
    put_on_trial(places, Trial(version, 0))
    point(places, places.current, version)


def change_back(places: Places) -> str | None:
    """Start the previous version from now on; which it is, or None where there is none.

    The version that was left can be gone back to in its turn, if it has proved itself.
    """
    now = standing(places)
    if now.previous is None or now.previous == now.current:
        return None
    point(places, places.current, now.previous)
    if now.current is not None and not now.is_on_trial:
        point(places, places.previous, now.current)
    end_trial(places)
    return now.previous


def point(places: Places, link: Path, version: str) -> None:
    """Let a link lead to a version."""
    fresh = link.with_name(f".{link.name}")
    fresh.unlink(missing_ok=True)
    fresh.symlink_to(f"{places.releases.name}/{version}")
    fresh.replace(link)
    settle(places.home)


def put_on_trial(places: Places, trial: Trial) -> None:
    """Note a version that has not proved itself."""
    save(places.trial, f"{trial.version} {trial.starts}\n".encode())


def end_trial(places: Places) -> None:
    """Forget the trial."""
    places.trial.unlink(missing_ok=True)
    settle(places.home)


def note_given_up(places: Places, version: str, why: str) -> None:
    """Keep which version was given up and why, so that it is not brought again by itself."""
    lines = [*_lines(places), f"{version}\t{why}"][-KEPT_LINES:]
    save(places.given_up, "".join(f"{line}\n" for line in lines).encode())


def given_up(places: Places) -> dict[str, str]:
    """Versions that did not prove themselves, and why; the newest last."""
    split = (line.partition("\t") for line in _lines(places))
    return {version: why for version, _, why in split if NAME.fullmatch(version)}


def forgive(places: Places, version: str) -> None:
    """Forget that a version was given up: somebody asks for it again."""
    if version in given_up(places):
        lines = [line for line in _lines(places) if line.partition("\t")[0] != version]
        save(places.given_up, "".join(f"{line}\n" for line in lines).encode())


def versions(places: Places) -> list[str]:
    """Whole versions on the card, by name."""
    with suppress(OSError):
        return sorted(
            each.name for each in places.releases.iterdir() if _is_version(places, each.name)
        )
    return []


def _lines(places: Places) -> list[str]:
    return _text(places.given_up).splitlines()


def _led_to(places: Places, link: Path) -> str | None:
    version = _named(link)
    return version if version is not None and _is_version(places, version) else None


def _named(link: Path) -> str | None:
    """The last part of what a link says; None where there is no link."""
    try:
        return link.readlink().name
    except OSError:
        return None


def _is_version(places: Places, name: str) -> bool:
    return NAME.fullmatch(name) is not None and (places.release(name) / COMMAND).is_file()


def _trial(places: Places) -> Trial | None:
    version, _, starts = _text(places.trial).strip().partition(" ")
    is_one = NAME.fullmatch(version) and starts.isascii() and starts.isdigit()
    return Trial(version, int(starts)) if is_one and len(starts) < 10 else None


def _text(path: Path) -> str:
    try:
        return read_small(path, MOST_BYTES).decode("utf-8", "replace")
    except OSError:
        return ""
