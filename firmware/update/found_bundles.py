"""Bundles that lie where a unit looks by itself: the newest that it should take, if there is one.

Nobody who would read a question is there. So of what lies on a boot partition, a stick, or was
brought by a phone only the newest signed bundle counts, only one that is newer than what runs, and
none that was given up before: else a unit would try the same one at every start.
"""

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from firmware.errors import UpdateError
from firmware.update.bundle import opened_bundle
from firmware.update.installing import ThisUnit, verified
from firmware.update.manifest import Release
from firmware.update.places import ENDING
from firmware.update.slots import given_up, standing, versions
from firmware.update.version import numbers_of

OWN_FOLDER = "midgrey"
"""On a stick they may lie in a folder of that name, as they do on the boot partition."""
MOST_FILES = 16
"""Bundles that are looked at in a folder."""


@dataclass(frozen=True, slots=True)
class Offered:
    """The bundle to take, or None; and what is to be said of others."""

    path: Path | None = None
    refused: tuple[str, ...] = field(default=())


def offer(folders: Iterable[Path], unit: ThisUnit) -> Offered:
    """The newest bundle in these folders that is to be taken."""
    best: tuple[tuple[int, int, int], Path] | None = None
    refused = []
    now = standing(unit.places)
    known = {*versions(unit.places), *given_up(unit.places)}
    running = numbers_of(now.current or "") or (0, 0, 0)
    for path in _files(folders):
        try:
            release = _release(path, unit)
        except UpdateError as fault:
            refused.append(str(fault))
            continue
        numbers = numbers_of(release.version) or (0, 0, 0)
        if numbers > running and release.version not in known and (not best or numbers > best[0]):
            best = (numbers, path)
    return Offered(None if best is None else best[1], tuple(refused))


def _release(path: Path, unit: ThisUnit) -> Release:
    with opened_bundle(path) as bundle:
        return verified(bundle, unit).release


def _files(folders: Iterable[Path]) -> list[Path]:
    found: list[Path] = []
    for folder in (each for root in folders for each in (root, root / OWN_FOLDER)):
        with suppress(OSError):
            # Hidden ones are what laptops leave beside a file, or are not whole yet.
            found += sorted(
                each
                for each in folder.iterdir()
                if each.suffix == ENDING and not each.name.startswith(".") and each.is_file()
            )
    return found[:MOST_FILES]
