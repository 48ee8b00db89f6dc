"""From a bundle's file to a version that is started next: checked, whole on the card, on trial.

Everything that can be refused is refused before the card is touched. Then a folder is filled under
a name that nothing looks at, brought to the card, given its name, and checked there; only after
that do links change. A cut in between leaves at the most a folder that the next update takes away.
"""

import fcntl
import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from firmware.errors import UpdateError
from firmware.system.files import reason_of, settle
from firmware.update.bundle import Bundle, opened_bundle
from firmware.update.manifest import ANY, Manifest
from firmware.update.places import KERNELS, LAYOUT, SYSTEM_PYTHON, Places
from firmware.update.slots import forgive, standing, switch, switching
from firmware.update.unpacking import unpack
from firmware.update.version import is_older

MARGIN = 100_000_000
"""Bytes that stay free beside a version: the unit goes on keeping marks meanwhile."""
COMPILED = 1.3
"""With what Python makes of it beside it, a version grows to that at the most; 1.25 was seen."""
COMPILE_S = 900.0


@dataclass(frozen=True, slots=True)
class ThisUnit:
    """What a version has to fit: the machine that it is to run on.

    Attributes
    ----------
    machine, python:
        As a `Release` says them.
    places, kernels:
        Where its versions lie, and their kernels.
    free_bytes:
        How much room the card has where versions lie.
    is_forgetful:
        Whether all that is written there now is gone at the next start.
    verify:
        Raises `UpdateError` where a bundle is not signed: name, what is signed, signature.
    check:
        Why a version is not to be taken, by its own check; empty where it is.
    """

    machine: str
    python: str
    places: Places
    free_bytes: Callable[[Path], int]
    is_forgetful: Callable[[], bool]
    verify: Callable[[str, bytes, bytes], None]
    check: Callable[[Path], str]
    kernels: Path = KERNELS


@contextmanager
def updating(places: Places) -> Iterator[None]:
    """One update at a time.

    Raises
    ------
    UpdateError
        Another is under way, or whoever asks may not.
    """
    try:
        descriptor = os.open(
            places.home / ".updating", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600
        )
    except PermissionError:
        raise UpdateError("versions are root's alone to change: run it with sudo") from None
    except OSError as fault:
        raise UpdateError(
            f"{places.home}: there is no unit's order of versions here ({reason_of(fault)}); "
            "sudo systemd/install.sh makes one"
        ) from fault
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield
    except BlockingIOError:
        raise UpdateError("another update is under way; wait until it has ended") from None
    finally:
        os.close(descriptor)


def verified(bundle: Bundle, unit: ThisUnit) -> Manifest:
    """What a bundle says, once its signature holds.

    Raises
    ------
    UpdateError
        Nobody has signed it whom this unit trusts, or it is not understood.
    """
    unit.verify(bundle.name, bundle.says, bundle.signature)
    return bundle.manifest()


def take(path: Path, unit: ThisUnit, *, may_be_older: bool = False) -> str:
    """Bring a bundle's version onto the card and put it on trial; its name.

    Raises
    ------
    UpdateError
        It is refused; versions are as they were.
    """
    with opened_bundle(path) as bundle, updating(unit.places):
        manifest = verified(bundle, unit)
        version = manifest.release.version
        _must_fit(bundle.name, manifest, unit, may_be_older=may_be_older)
        _tidy(unit, version)
        _must_have_room(bundle.name, manifest, unit)
        if bundle.carried().digest() != manifest.payload_sha256:
            raise UpdateError(f"{path}: what it carries is not what was signed; copy it again")
        try:
            _place(bundle, manifest, unit)
        except OSError as fault:
            _tidy(unit, version)
            raise UpdateError(
                f"{path}: {version} cannot be written to the card ({reason_of(fault)}); nothing "
                "was changed"
            ) from fault
        why = unit.check(unit.places.release(version))
        if why:
            _tidy(unit, version)
            raise UpdateError(f"{path}: {version} is not taken: {why}; nothing was changed")
        forgive(unit.places, version)
        with switching(unit.places):
            switch(unit.places, version)
        return version


def _must_fit(name: str, manifest: Manifest, unit: ThisUnit, *, may_be_older: bool) -> None:
    release, now = manifest.release, standing(unit.places)
    if unit.is_forgetful():
        raise UpdateError(
            f"{name}: this unit's card is read-only, so a version would be gone at the next start; "
            "take midgrey.readonly out of the kernel's command line for the update"
        )
    if release.machine not in {ANY, unit.machine} or release.python != unit.python:
        raise UpdateError(
            f"{name}: it is for {release.machine} with Python {release.python}, and this unit has "
            f"{unit.machine} with {unit.python}; get the one for this unit"
        )
    if release.layout > LAYOUT:
        raise UpdateError(
            f"{name}: it needs more than versions on this unit (layout {release.layout}, here "
            f"{LAYOUT}); run its systemd/install.sh, or write its card"
        )
    if release.version in {now.current, now.previous}:
        way = "midgrey update --back goes to it" if release.version != now.current else "it runs"
        raise UpdateError(f"{name}: {release.version} is on this unit already: {way}")
    if now.current is not None and is_older(release.version, now.current) and not may_be_older:
        raise UpdateError(
            f"{name}: {release.version} is older than {now.current}, which runs; give --back as "
            "well if that is meant"
        )


def _must_have_room(name: str, manifest: Manifest, unit: ThisUnit) -> None:
    needed = round(manifest.unpacked_bytes * COMPILED) + MARGIN
    free = unit.free_bytes(unit.places.home)
    if needed > free:
        raise UpdateError(
            f"{name}: it needs {needed / 1e6:.0f} MB on the card, and {free / 1e6:.0f} MB are "
            "free; delete old files, or take a larger card"
        )


def _place(bundle: Bundle, manifest: Manifest, unit: ThisUnit) -> None:
    """Fill a folder under another name; whole and on the card, it gets its own."""
    version = manifest.release.version
    final = unit.places.release(version)
    fresh = final.with_name(f".{version}")
    try:
        unpack(bundle, manifest, fresh)
    except UpdateError:
        shutil.rmtree(fresh, ignore_errors=True)
        raise
    _compile(fresh, final)
    os.sync()
    fresh.replace(final)
    settle(final.parent)


def _compile(fresh: Path, final: Path) -> None:
    """What Python makes of each file, by the path it will have: the unit's user writes nothing."""
    words = [str(SYSTEM_PYTHON), "-I", "-m", "compileall", "-q", "-s", str(fresh)]
    words += ["-p", str(final), str(fresh / "venv")]
    # Without it a start takes longer, which is no reason to refuse a version.
    with suppress(OSError, subprocess.TimeoutExpired):
        subprocess.run(words, capture_output=True, timeout=COMPILE_S, check=False)


def _tidy(unit: ThisUnit, version: str) -> None:
    """Take away what no link leads to: versions of before, halves of one, kernels of neither.

    Never after a switch: what was switched from may still be running. Kernels of the version that
    is to be taken may be there from an earlier try.
    """
    now = standing(unit.places)
    used = {now.current, now.previous}
    for folder, keep in ((unit.places.releases, used), (unit.kernels, {*used, version})):
        with suppress(OSError):
            for each in folder.iterdir():
                if each.name not in keep and each.is_dir() and not each.is_symlink():
                    _remove(each)


def _remove(folder: Path) -> None:
    """Out of its name first, so that it is never half there."""
    hidden = folder.with_name(f".gone-{folder.name.lstrip('.')}")
    with suppress(OSError):
        if folder.name != hidden.name:
            folder.replace(hidden)
            settle(hidden.parent)
        shutil.rmtree(hidden, ignore_errors=True)
