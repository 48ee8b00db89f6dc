"""Values of options that concern the screen and files to be written."""

import re
from pathlib import Path

from firmware.errors import ArgumentError
from overlays.wording.read_number import whole

_SIZE = re.compile(r"(\d{1,5})\s*[xX×]\s*(\d{1,5})", re.ASCII)
SMALLEST, LARGEST = (320, 240), (7680, 4320)


def parse_size(text: str) -> tuple[int, int]:
    """(columns, rows) of ``1280x720``.

    Raises
    ------
    ArgumentError
        It is no size, or none a screen has.
    """
    found = _SIZE.fullmatch(text.strip())
    if found is None:
        raise ArgumentError(f"--size {text!r} is no size; write width x height, as 1280x720")
    columns, rows = whole(found[1]), whole(found[2])
    if not (SMALLEST[0] <= columns <= LARGEST[0] and SMALLEST[1] <= rows <= LARGEST[1]):
        raise ArgumentError(
            f"--size {text!r} is no size of a screen; from {SMALLEST[0]}x{SMALLEST[1]} to "
            f"{LARGEST[0]}x{LARGEST[1]}, as 1280x720"
        )
    return columns, rows


def output_file(path: Path, ending: str) -> Path:
    """A file to be written later, checked now: ending and folder.

    Raises
    ------
    ArgumentError
        It has another ending, is a folder, or lies in a folder that is not there.
    """
    if path.suffix.lower() != ending:
        raise ArgumentError(
            f"{path}: the file is written as {ending[1:]}; name it so, as x{ending}"
        )
    if path.is_dir():
        raise ArgumentError(f"{path} is a folder; name a file in it")
    if not path.parent.is_dir():
        raise ArgumentError(f"{path}: there is no folder {path.parent}; make it first")
    return path
