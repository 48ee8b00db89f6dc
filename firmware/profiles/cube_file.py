"""What lies in a file beside a profile: a table for the eye."""

import errno
from dataclasses import replace
from pathlib import Path

from firmware.profiles.model import Profile
from firmware.system.files import read_small, reason_of
from overlays.draw.layout.cube import Cube, parse_cube
from overlays.draw.layout.monitor import PLAIN
from overlays.errors import CubeError

MOST_BYTES = 16 << 20
"""Twice what 65 entries each way take with eight decimals."""


def read_cube(path: Path) -> Cube:
    """The table of a file, called as the file.

    Raises
    ------
    CubeError
        It cannot be read, or is none.
    """
    try:
        content = read_small(path, MOST_BYTES)
    except OSError as fault:
        if fault.errno == errno.EFBIG:
            raise CubeError(f"{path.name} is larger than such a table can be") from fault
        raise CubeError(f"{path} cannot be read: {reason_of(fault)}") from fault
    return cube_of(content, path.name)


def cube_of(content: bytes, name: str) -> Cube:
    """The table of a file's content.

    Raises
    ------
    CubeError
        It is none.
    """
    try:
        # Titles are in whatever writing the program had that made it; all else is ASCII.
        return parse_cube(content.decode("utf-8-sig", "replace"), name)
    except CubeError as fault:
        raise CubeError(f"{name}: {fault}") from fault


def with_cube(profile: Profile, folder: Path) -> Profile:
    """With the table that it names, from a folder.

    Raises
    ------
    CubeError
        It cannot be read, or is none.
    """
    if not profile.cube_file:
        return profile
    cube = read_cube(folder / profile.cube_file)
    return replace(profile, monitor=replace(profile.monitor or PLAIN, cube=cube))
