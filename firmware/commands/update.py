"""`midgrey update`: take a version, go back to the one before, or say how versions stand."""

import os
import platform
import shutil
import subprocess
import sys
from contextlib import suppress
from pathlib import Path
from typing import TextIO

from firmware.commands.own import UpdateOptions
from firmware.errors import ArgumentError, UpdateError
from firmware.system.files import save
from firmware.update.checking import own_check, start_as_user
from firmware.update.found_bundles import offer
from firmware.update.installing import ThisUnit, take, updating
from firmware.update.places import INCOMING, SAID, Places
from firmware.update.signature import must_be_signed
from firmware.update.slots import change_back, given_up, standing, switching, versions
from firmware.written.declared import Command

PATIENCE_S = 60.0
POLITE = 10
"""How far behind the picture an update stands in line for the processor."""
TRIAL = (
    "{} is on trial: once it has measured and shown a picture it stays, else {} comes back by "
    "itself"
)
LATER = "; it is started next time"


def main(_command: Command, options: UpdateOptions) -> None:
    """Do what was asked for, on this unit, after everything else that it does."""
    os.nice(POLITE)
    update(options, this_unit(), sys.stdout)


def update(options: UpdateOptions, unit: ThisUnit, out: TextIO) -> None:
    """Take, go back, look, or list.

    Raises
    ------
    UpdateError, ArgumentError
        It cannot be done; versions are as they were.
    """
    asked = [options.file, options.found or None, options.list or None]
    if sum(each is not None for each in asked) > 1 or (options.back and asked[1:] != [None, None]):
        raise ArgumentError("FILE, --found and --list exclude each other; give one of them")
    if options.found:
        look(options.found, unit, out)
    elif options.file is not None:
        taken = take(options.file, unit, may_be_older=options.back)
        said = TRIAL.format(taken, standing(unit.places).previous or "none")
        print(said + (LATER if options.later else ""), file=out)
        _restart(later=options.later)
    elif options.back:
        print(f"Back to {go_back(unit.places)}.", file=out)
        _restart(later=options.later)
    else:
        list_versions(unit.places, out)


def this_unit(places: Places | None = None) -> ThisUnit:
    """The machine that this runs on."""
    places = places or Places(Path(os.environ.get("MIDGREY_HOME", Places().home)))
    return ThisUnit(
        platform.machine(),
        ".".join(platform.python_version_tuple()[:2]),
        places,
        lambda folder: shutil.disk_usage(folder).free,
        lambda: _is_in_memory(places.home),
        must_be_signed,
        lambda folder: own_check(folder, start_as_user),
    )


def go_back(places: Places) -> str:
    """Start the previous version from now on; its name.

    Raises
    ------
    UpdateError
        There is none.
    """
    with updating(places), switching(places):
        version = change_back(places)
    if version is None:
        raise UpdateError("there is no version before the one that runs, so nothing was changed")
    return version


def look(folders: tuple[Path, ...], unit: ThisUnit, out: TextIO) -> None:
    """Take the newest bundle there is, if it is newer; for units of systemd, which ask nobody.

    What a phone has brought is started at once, since somebody waits for it, and taken away; what
    lies on a card or a stick is started next time, so that no picture is cut off.
    """
    found, said = offer(folders, unit), ""
    for words in found.refused:
        said = words
        print(words, file=out)
    if found.path is not None:
        try:
            taken = take(found.path, unit)
            is_brought = INCOMING in folders
            said = TRIAL.format(taken, standing(unit.places).previous or "none")
            said += "" if is_brought else LATER
            _restart(later=not is_brought)
        except UpdateError as fault:
            said = str(fault)
        print(said, file=out)
    if INCOMING in folders:
        _empty(INCOMING)
        said = said or "what was brought is no newer version than the one that runs"
    if said:
        with suppress(OSError):  # nobody waits for it where there is no such folder
            save(SAID, f"{said}\n".encode())
            SAID.chmod(0o644)


def list_versions(places: Places, out: TextIO) -> None:
    """Say which versions there are, which one is started, and which were given up."""
    now = standing(places)
    whole = versions(places)
    for version in whole:
        is_now, is_before = version == now.current, version == now.previous
        words = "started" if is_now else "before it, to go back to" if is_before else "not used"
        if is_now and now.trial is not None and now.is_on_trial:
            starts = now.trial.starts
            words = f"started, on trial ({starts} starts)" if starts else "to be tried next"
        print(f"{version}  {words}", file=out)
    for version, why in given_up(places).items():
        print(f"{version}  given up: {why}", file=out)
    if not whole:
        print(f"No versions in {places.releases}: this is no unit, or an older one.", file=out)


def _empty(folder: Path) -> None:
    """Take away what was brought, taken or not: what stays would be looked at again and again."""
    with suppress(OSError):
        for each in folder.iterdir():
            with suppress(OSError):
                each.unlink()


def _is_in_memory(home: Path) -> bool:
    """Whether a folder lies on the file system in memory that is laid over a read-only card."""
    said = subprocess.run(
        ["findmnt", "-no", "FSTYPE", "--target", str(home)],
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
    )
    return said.stdout.strip() in {"overlay", "tmpfs"}


def _restart(*, later: bool) -> None:
    """Let the unit start what is current now; where there is no systemd nobody has to."""
    if not later and Path("/run/systemd/system").is_dir():
        words = ["systemctl", "--no-block", "restart", "midgrey.service"]
        with suppress(OSError, subprocess.TimeoutExpired):
            subprocess.run(words, timeout=PATIENCE_S, check=False)
