"""Finding profiles: those that ship and one's own, by name, and any other by the path of its file.

One's own lie in `profiles` under the folders of one's own settings (`firmware.written.folders`).
"""

import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from pathlib import Path

from firmware.errors import ProfileError, UnknownProfileError
from firmware.profiles.model import Profile
from firmware.profiles.reader import read_profile
from firmware.written.folders import APPLIANCE, own_settings
from firmware.written.spelling import offer

USUAL = "standard"
"""The profile of a feed of which nothing is known."""


def _presets() -> Path:
    # The package is always installed as files: numba's cache needs them too.
    return Path(str(resources.files("firmware.profiles"))) / "presets"


def is_shipped(path: Path) -> bool:
    """Whether a profile's file is one of those that ship."""
    return path.resolve().parent == _presets().resolve()


def shipped_names() -> tuple[str, ...]:
    """Names of the profiles that ship, the usual one first."""
    names = sorted(path.stem for path in _presets().glob("*.toml"))
    return tuple(sorted(names, key=lambda name: name != USUAL))


def shipped_profiles() -> tuple[Profile, ...]:
    """The profiles that ship, the usual one first."""
    return tuple(_shipped(name) for name in shipped_names())


@cache
def _shipped(name: str) -> Profile:
    # Read once: another version brings other files, and a process of its own.
    return read_profile(_presets() / f"{name}.toml")


APPLIANCE_PROFILES = APPLIANCE / "profiles"
"""Where an appliance's own profiles lie, beside its other settings."""


def own_folders(environ: Mapping[str, str] = os.environ) -> tuple[Path, ...]:
    """Where one's own profiles are looked for, the most particular first; they need not exist."""
    return tuple(folder / "profiles" for folder in own_settings(environ))


@dataclass(frozen=True, slots=True)
class OwnProfiles:
    """One's own profiles.

    Attributes
    ----------
    profiles:
        Those that can be read, by name.
    faults:
        One sentence for each file that cannot be used, with what to do.
    """

    profiles: tuple[Profile, ...] = ()
    faults: tuple[str, ...] = ()


def own_files(environ: Mapping[str, str] = os.environ) -> dict[str, Path]:
    """Files of one's own profiles by name; of two of one name the more particular one."""
    found: dict[str, Path] = {}
    for folder in own_folders(environ):
        try:
            files = sorted(path for path in folder.iterdir() if path.suffix.lower() == ".toml")
        except OSError:
            continue  # it is not there, or not for this user
        for path in files:
            found.setdefault(path.stem, path)
    return dict(sorted(found.items()))


def own_profiles(environ: Mapping[str, str] = os.environ) -> OwnProfiles:
    """One's own profiles, read; a file with mistakes is named and never stops the others."""
    ours = {name.casefold() for name in shipped_names()}
    profiles, faults = [], []
    for name, path in own_files(environ).items():
        if name.casefold() in ours:
            faults.append(
                f"profile {path} is left out: the name {name!r} is that of one that ships; "
                "rename the file"
            )
            continue
        try:
            profiles.append(read_profile(path))
        except ProfileError as fault:
            count = len(str(fault).splitlines())
            faults.append(
                f"profile {path} is left out: it has {count} "
                f"{'mistake' if count == 1 else 'mistakes'}: run midgrey profiles check {path}"
            )
    return OwnProfiles(tuple(profiles), tuple(faults))


def load_profile(name_or_path: str) -> Profile:
    """A profile that ships or one of the user's own, by name, or any by the path of its TOML file.

    Raises
    ------
    UnknownProfileError
        No profile has that name.
    ProfileError
        The file cannot be read or has mistakes.
    """
    named = {name.casefold(): name for name in shipped_names()}
    shipped = named.get(name_or_path.casefold())
    if shipped is not None:
        return _shipped(shipped)
    own = {name.casefold(): path for name, path in own_files().items()}
    if name_or_path.casefold() in own:
        return read_profile(own[name_or_path.casefold()])
    path = _path_of(name_or_path)
    if path.suffix.lower() == ".toml" or path.is_file():
        return read_profile(path)
    known = [*named.values(), *(each.stem for each in own.values())]
    raise UnknownProfileError(
        f"unknown profile {name_or_path!r}; {offer(name_or_path, known)} (one of your own is given "
        f"by the path of its .toml file, or by its name where it lies in {own_folders()[0]})"
    )


def _path_of(written: str) -> Path:
    """The path that was written, with the home folder for a tilde where there is such a user."""
    try:
        return Path(written).expanduser()
    except RuntimeError:  # nobody of that name
        return Path(written)


def check_files(paths: Iterable[Path]) -> tuple[list[Profile], list[str]]:
    """Read profiles together: those that are right, and every mistake, one a line.

    Two profiles of one name could not be told apart in a reading, so a name that occurs twice, or
    that ships already, is a mistake of its own.
    """
    profiles: list[Profile] = []
    mistakes: list[str] = []
    ours = {name.casefold() for name in shipped_names()}
    seen: dict[str, Path] = {}
    for path in dict.fromkeys(paths):
        try:
            profiles.append(read_profile(path))
        except ProfileError as fault:
            mistakes += str(fault).splitlines()
        name = path.stem.casefold()
        if name in seen:
            mistakes.append(
                f"{path}: the name {path.stem!r} is already that of {seen[name]}; rename one file"
            )
        elif name in ours and not is_shipped(path):
            mistakes.append(
                f"{path}: the name {path.stem!r} is that of a profile that ships; rename the file"
            )
        seen.setdefault(name, path)
    return profiles, mistakes
