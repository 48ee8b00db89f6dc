"""A panel that is mounted turned: which way, and where its pixels lie.

Neither SDL's driver for bare screens nor the display planes of a Raspberry Pi turn by 90 degrees
(SDL issue 9682, raspberrypi/linux issue 2521), so the picture is turned here once it is painted,
and costs nothing where that is not asked for.
"""

from collections.abc import Mapping
from enum import Enum

from firmware.errors import ArgumentError

ROTATE = "MIDGREY_ROTATE"
"""Variable of the environment that says how a panel is mounted, where no option does."""

Point = tuple[int, int]


class Rotation(Enum):
    """How far the picture is turned clockwise; the values are degrees."""

    NONE = 0
    RIGHT = 90
    HALF = 180
    LEFT = 270

    @property
    def upright(self) -> bool:
        """Whether rows stay rows."""
        return self in {Rotation.NONE, Rotation.HALF}


def turned_size(size: tuple[int, int], rotation: Rotation) -> tuple[int, int]:
    """(columns, rows) after turning."""
    return size if rotation.upright else (size[1], size[0])


def turned_back(at: Point, panel: tuple[int, int], rotation: Rotation) -> Point:
    """The pixel of the picture that is seen at a pixel of a panel of (columns, rows)."""
    across, down = at
    columns, rows = panel
    if rotation is Rotation.RIGHT:
        return down, columns - 1 - across
    if rotation is Rotation.HALF:
        return columns - 1 - across, rows - 1 - down
    if rotation is Rotation.LEFT:
        return rows - 1 - down, across
    return at


def rotation_asked(degrees: int | None, environ: Mapping[str, str]) -> Rotation:
    """The rotation of so many degrees clockwise; None leaves it to the environment.

    Raises
    ------
    ArgumentError
        It is none of 0, 90, 180 and 270.
    """
    if degrees is None:
        where, given = ROTATE, environ.get(ROTATE, "").strip() or "0"
    else:
        where, given = "--rotate", str(degrees)
    known = {str(each.value): each for each in Rotation}
    if given not in known:
        raise ArgumentError(
            f"{where} {given}: a picture is turned clockwise by {', '.join(known)} degrees"
        )
    return known[given]
