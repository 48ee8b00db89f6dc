"""Finding profiles: those that ship, by name, and any other by the path of its file."""

from collections.abc import Iterable
from importlib import resources
from pathlib import Path

from firmware.errors import ProfileError, UnknownProfileError
from firmware.profiles.model import Profile
from firmware.profiles.reader import read_profile
from firmware.written.spelling import offer

USUAL = "standard"
"""The profile of a feed of which nothing is known."""


def _presets() -> Path:
    # The package is always installed as files: numba's cache needs them too.
    return Path(str(resources.files("firmware.profiles"))) / "presets"


def shipped_names() -> tuple[str, ...]:
    """Names of the profiles that ship, the usual one first."""
    names = sorted(path.stem for path in _presets().glob("*.toml"))
    return tuple(sorted(names, key=lambda name: name != USUAL))


def shipped_profiles() -> tuple[Profile, ...]:
    """The profiles that ship, the usual one first."""
    return tuple(read_profile(_presets() / f"{name}.toml") for name in shipped_names())


def load_profile(name_or_path: str) -> Profile:
    """A profile that ships, by name, or one of the user's, by the path of its TOML file.

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
        return read_profile(_presets() / f"{shipped}.toml")
    path = Path(name_or_path).expanduser()
    if path.suffix.lower() == ".toml" or path.is_file():
        return read_profile(path)
    raise UnknownProfileError(
        f"unknown profile {name_or_path!r}; {offer(name_or_path, named.values())} "
        "(one of your own is given by the path of its .toml file)"
    )


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
        elif name in ours and path.resolve().parent != _presets().resolve():
            mistakes.append(
                f"{path}: the name {path.stem!r} is that of a profile that ships; rename the file"
            )
        seen.setdefault(name, path)
    return profiles, mistakes
