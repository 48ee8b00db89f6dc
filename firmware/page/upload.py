"""A profile that a phone brings: checked whole before anything of it touches the card."""

import re
from collections.abc import Mapping
from pathlib import Path

from firmware.errors import PageError
from firmware.profiles.reader import profile_of_text
from firmware.profiles.shelf import own_folders, shipped_names
from firmware.system.files import save, unsaved

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 _-]{0,39}", re.ASCII)
MOST_FILES = 200


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
    profile_of_text(text, Path(f"{name}.toml"))
    path = folder / f"{name}.toml"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        is_new = not path.exists()
        if is_new and sum(1 for _ in folder.iterdir()) >= MOST_FILES:
            raise PageError(f"there are {MOST_FILES} files among the profiles: delete some first")
        save(path, content)
    except OSError as fault:
        raise PageError(unsaved(path, "profile", fault)) from fault
    done = "kept" if is_new else "kept in place of the one before"
    return f"{name} is {done}; it can be chosen from the next start on"
