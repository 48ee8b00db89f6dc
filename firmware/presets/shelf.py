"""Which presets there are, and which one a unit starts with.

They lie in the folder `midgrey` of the boot partition, which every laptop can write. The last one a
unit has started with is kept in its own folder: where somebody has spoilt the file since, that is
what it starts as, and says so.
"""

import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from firmware.errors import PresetError
from firmware.presets.model import Preset
from firmware.presets.reader import read_choice, read_preset
from firmware.system.files import read_small, save
from firmware.written.spelling import offer

FOLDERS = "MIDGREY_PRESETS"
"""Variable of the environment with the folders, the first that is there counts."""
CHOICE = "midgrey"
"""Name of the file that says which preset is started with."""
LAST_GOOD = "last-good-preset.toml"
MOST_FILES = 100
LARGEST_BYTES = 200_000
MOST_SAID = 6
"""Mistakes that are said on a screen; `midgrey presets` says all."""


@dataclass(frozen=True, slots=True)
class Shelf:
    """What lies in a folder.

    Attributes
    ----------
    files:
        Of presets, by name.
    choice:
        The file that says which is started with, or None.
    """

    files: dict[str, Path]
    choice: Path | None = None


@dataclass(frozen=True, slots=True)
class Booted:
    """What a unit starts with: a preset or none, and what is to be said of it."""

    preset: Preset | None = None
    said: tuple[str, ...] = ()


def look_in(folder: Path) -> Shelf:
    """What lies in a folder; nothing where it is not there.

    Names that begin with a point are what laptops leave beside a file, and none of ours.
    """
    try:
        with os.scandir(folder) as entries:
            found = sorted(
                entry.name
                for entry in entries
                if entry.name.lower().endswith(".toml") and not entry.name.startswith(".")
            )
    except OSError:
        return Shelf({})
    files = {name[: -len(".toml")]: folder / name for name in found[:MOST_FILES]}
    chosen = next((name for name in files if name.casefold() == CHOICE), None)
    return Shelf(files) if chosen is None else Shelf(files, files.pop(chosen))


def chosen_file(shelf: Shelf, folder: Path) -> Path | None:
    """The file of the preset that is started with; None where there are no presets.

    Raises
    ------
    PresetError
        Which one is meant is not said, or is one that is not there.
    """
    if shelf.choice is not None:
        name = read_choice(shelf.choice).casefold().removesuffix(".toml")
        for each, path in shelf.files.items():
            if each.casefold() == name:
                return path
        raise PresetError(
            f"{shelf.choice}: there is no preset {name!r}; {offer(name, shelf.files)}"
        )
    if len(shelf.files) > 1:
        raise PresetError(
            f"{folder}: there are {len(shelf.files)} presets and none is chosen; write "
            f'boot = "{next(iter(shelf.files))}" in a file {CHOICE}.toml beside them'
        )
    return next(iter(shelf.files.values()), None)


def boot(folders: Iterable[Path], state: Path | None) -> Booted:
    """What to start with, and what is to be said of it.

    Parameters
    ----------
    folders:
        Where presets may lie; the first that has any counts.
    state:
        The unit's own folder, where the last good one is kept; None keeps none.
    """
    for folder in folders:
        shelf = look_in(folder)
        if shelf.files or shelf.choice is not None:
            return _boot_from(folder, shelf, state)
    return Booted()


def _boot_from(folder: Path, shelf: Shelf, state: Path | None) -> Booted:
    try:
        path = chosen_file(shelf, folder)
        if path is None:
            return Booted()
        preset = read_preset(path)
    except PresetError as fault:
        mistakes = str(fault).splitlines()
        more = len(mistakes) - MOST_SAID
        rest = (f"{more} more mistakes: midgrey presets lists them",) if more > 0 else ()
        return _last_good(state, (*mistakes[:MOST_SAID], *rest))
    if state is not None:
        _keep(preset, state / LAST_GOOD)
    return Booted(preset)


def _last_good(state: Path | None, mistakes: tuple[str, ...]) -> Booted:
    kept = None if state is None else state / LAST_GOOD
    try:
        preset = None if kept is None else read_preset(kept)
    except PresetError:
        preset = None
    if preset is None:
        return Booted(
            None, ("the preset is skipped, and there is no good one before it", *mistakes)
        )
    words = f"the preset is skipped, and the last good one is used ({preset.title})"
    return Booted(preset, (words, *mistakes))


def _keep(preset: Preset, kept: Path) -> None:
    """A copy of a good one; a card that takes none is said where settings are kept."""
    try:
        content = read_small(preset.path, LARGEST_BYTES)
        if not kept.is_file() or read_small(kept, LARGEST_BYTES) != content:
            save(kept, content)
    except OSError:
        return


def folders_of(environ: Mapping[str, str]) -> tuple[Path, ...]:
    """Where the environment says presets lie."""
    named = environ.get(FOLDERS, "").split(":")
    return tuple(Path(each) for each in named if each.startswith("/"))
