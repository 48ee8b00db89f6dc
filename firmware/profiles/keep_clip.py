"""Writes the clip that was found in the picture into a profile of the user's own."""

import re
import tomllib
from pathlib import Path

from firmware.errors import ProfileError
from firmware.profiles.model import Profile
from firmware.profiles.reader import read_profile
from firmware.profiles.shelf import is_shipped
from firmware.system.files import save, unsaved
from overlays.measure.counting.clip import FlatTop

_CLIP = re.compile(r"^[ \t]*clip[ \t]*=.*$", re.MULTILINE)
_TABLE = re.compile(r"^[ \t]*\[", re.MULTILINE)


def keep_clip(profile: Profile, top: FlatTop | None) -> str:
    """Write the lowest of the ceilings that were found as `clip`, and say so in one sentence.

    From there on a neutral is clipped in at least one channel. Nothing else in the file changes;
    comments stay.

    Parameters
    ----------
    profile:
        In use; read from a file of the user's own.
    top:
        What was found.

    Raises
    ------
    ProfileError
        Nothing was found, the profile has no file of its own, or that cannot be changed.
    """
    path = profile.source_path
    if top is None:
        raise ProfileError(
            "no clip below the profile's was found: show the camera a lamp that it cannot hold"
        )
    if path is None:
        raise ProfileError(
            f"{profile.title}: there is no file to write the clip into; write a profile of your "
            "own and name it with --profile"
        )
    if is_shipped(path):
        raise ProfileError(
            f"{profile.name} ships with midgrey and stays as it is; write a file of your own "
            "and name that instead"
        )
    level = f"{top.lowest:.1f} %"
    try:
        old = path.read_text(encoding="utf-8")
        save(path, with_clip(old, level, path).encode())
    except OSError as fault:
        raise ProfileError(unsaved(path, "profile", fault)) from fault
    read_profile(path)
    return f'clip = "{level}", found in {", ".join(top.channels)}, is written in {path.name}'


def with_clip(text: str, level: str, path: Path) -> str:
    """A profile's text with another `clip`, where it stands or above the first table.

    Raises
    ------
    ProfileError
        Its text is such that this would change more than the clip.
    """
    line = f'clip = "{level}"'
    table = _TABLE.search(text)
    end = len(text) if table is None else table.start()
    head, tail = text[:end], text[end:]
    standing = _CLIP.search(head)
    if standing is not None:
        head = head[: standing.start()] + line + head[standing.end() :]
    else:
        head = head.rstrip("\n") + ("\n" if head.strip() else "") + line + "\n"
        head += "\n" if tail else ""
    made = head + tail
    try:
        wanted = {**tomllib.loads(text), "clip": level}
        is_right = tomllib.loads(made) == wanted
    except tomllib.TOMLDecodeError:
        is_right = False
    if not is_right:
        raise ProfileError(f"{path}: the clip cannot be written by itself; write {line} in it")
    return made
