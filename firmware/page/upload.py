"""A profile or a table that a phone brings: checked whole before it touches the card."""

import re
from collections.abc import Callable, Mapping
from pathlib import Path

from firmware.errors import PageError
from firmware.profiles.cube_file import cube_of
from firmware.profiles.reader import profile_of_text
from firmware.profiles.screen_table import is_cube_name
from firmware.profiles.shelf import own_folders, shipped_names
from firmware.system.files import save, unsaved

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 _-]{0,39}", re.ASCII)
MOST_FILES = 200
Keep = Callable[[str, bytes, Mapping[str, str]], str]
"""Keeps a file's name and content, where the environment says; what is to be said of it."""


def keep_profile(name: str, content: bytes, environ: Mapping[str, str]) -> str:
    """Keep a profile among one's own; what is to be said of it.

    Parameters
    ----------
    name:
        Of the file, without its ending.
    content:
        Of the file.

    Raises
    ------
    PageError
        The name is none.
    ProfileError
        It has mistakes, one a line.
    """
    if not _NAME.fullmatch(name):
        raise PageError(
            "a profile's name is letters, figures, spaces and - or _, 40 of them at the most"
        )
    if name.casefold() in {each.casefold() for each in shipped_names()}:
        raise PageError(f"the name {name!r} is that of a profile that ships: choose another")
    folders = own_folders(environ)
    folder = folders[0]
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise PageError("the profile is no text in UTF-8: save it as that and try again") from None
    profile = profile_of_text(text, Path(f"{name}.toml"))
    if profile.cube_file and not (folder / profile.cube_file).is_file():
        raise PageError(f"its table {profile.cube_file} is not on the unit: bring that first")
    done = _keep(folder / f"{name}.toml", content, "profile")
    return f"{name} is {done}; it can be chosen from the next start on"


def keep_table(name: str, content: bytes, environ: Mapping[str, str]) -> str:
    """Keep a table for the eye beside one's own profiles; what is to be said of it.

    Parameters
    ----------
    name:
        Of the file, with its ending.
    content:
        Of the file.

    Raises
    ------
    PageError
        The name is none.
    CubeError
        It is no table, with the line at which that was seen.
    """
    if not is_cube_name(name):
        raise PageError(
            "a table's name is letters, figures, spaces and - _ . with .cube behind them, 24 of "
            "them at the most"
        )
    cube_of(content, name)
    done = _keep(own_folders(environ)[0] / name, content, "table")
    return f'{name} is {done}; a profile names it: cube = "{name}" under [screen]'


def _keep(path: Path, content: bytes, what: str) -> str:
    folder = path.parent
    try:
        folder.mkdir(parents=True, exist_ok=True)
        is_new = not path.exists()
        if is_new and sum(1 for _ in folder.iterdir()) >= MOST_FILES:
            raise PageError(f"there are {MOST_FILES} files among the profiles: delete some first")
        save(path, content)
    except OSError as fault:
        raise PageError(unsaved(path, what, fault)) from fault
    return "kept" if is_new else "kept in place of the one before"
