"""Pictures that are stored lying down or mirrored: how a file asks for them to be shown.

A video's display matrix (ISO/IEC 14496-12, 8.3.2, "tkhd") and the orientation in a JPEG's Exif data
(CIPA DC-008, tag 274) say so. Quarter turns and mirroring move samples and change none: codes stay
as they were sent.
"""

import struct
from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

import av
import numpy as np
from av.sidedata.sidedata import Type

from firmware.feeds.tiff_tags import short_tag
from overlays.signal.frame import Plane, Planes
from overlays.signal.signal import Subsampling


@dataclass(frozen=True, slots=True)
class Orientation:
    """How a stored picture is to be shown.

    Attributes
    ----------
    quarters:
        Quarter turns clockwise, 0 to 3.
    is_mirrored:
        Left and right changed over, before it is turned.
    """

    quarters: int = 0
    is_mirrored: bool = False

    @property
    def is_on_side(self) -> bool:
        """Whether width and height change places."""
        return self.quarters % 2 == 1

    @property
    def words(self) -> str:
        """What is to be done to the stored picture."""
        mirrored = "mirrored" if self.is_mirrored else ""
        turned = f"turned clockwise by {90 * self.quarters} degrees" if self.quarters else ""
        return " and ".join(part for part in (mirrored, turned) if part)


UPRIGHT = Orientation()
ORIENTATION = 274
"""The tag of Exif data; CIPA DC-008."""
_EXIF = {
    1: UPRIGHT,
    2: Orientation(0, is_mirrored=True),
    3: Orientation(2),
    4: Orientation(2, is_mirrored=True),
    5: Orientation(3, is_mirrored=True),
    6: Orientation(1),
    7: Orientation(1, is_mirrored=True),
    8: Orientation(3),
}
"""CIPA DC-008 (Exif), tag Orientation: where row 0 and column 0 of the stored picture belong."""

_RIGHT_ANGLES = {
    (1, 0, 0, 1): UPRIGHT,
    (0, 1, -1, 0): Orientation(1),
    (-1, 0, 0, -1): Orientation(2),
    (0, -1, 1, 0): Orientation(3),
    (-1, 0, 0, 1): Orientation(0, is_mirrored=True),
    (0, -1, -1, 0): Orientation(1, is_mirrored=True),
    (1, 0, 0, -1): Orientation(2, is_mirrored=True),
    (0, 1, 1, 0): Orientation(3, is_mirrored=True),
}
"""By (a, b, c, d) of the matrix: a point (x, y) is shown at (a x + c y, b x + d y)."""
_ONE = 1 << 16
"""Of the matrix's 16.16 fixed point."""


def turn_of(frame: av.VideoFrame) -> Orientation | None:
    """How a decoded picture is to be shown; None where that is by no right angle."""
    try:
        # PyAV's stubs take names for keys, which it also knows by their kind.
        found = cast("Mapping[Type, memoryview]", frame.side_data).get(Type.DISPLAYMATRIX)
    except ValueError:  # PyAV does not know a kind of what the decoder says besides
        return _turn_by(frame.rotation)
    if found is None:
        return UPRIGHT
    a, b, _, c, d, *_rest = struct.unpack("=9i", bytes(found))
    return _RIGHT_ANGLES.get((round(a / _ONE), round(b / _ONE), round(c / _ONE), round(d / _ONE)))


def _turn_by(rotation: int) -> Orientation | None:
    """FFmpeg's rotation is counterclockwise, in degrees."""
    quarters, rest = divmod(-rotation % 360, 90)
    return None if rest else Orientation(quarters)


def exif_turn(content: bytes) -> Orientation:
    """How a JPEG's Exif data ask for it to be shown; upright where they say nothing."""
    start = content.find(b"Exif\0\0", 0, 1 << 16)
    found = None if start < 0 else short_tag(content[start + 6 :], ORIENTATION)
    return UPRIGHT if found is None else _EXIF.get(found, UPRIGHT)


@dataclass(frozen=True, slots=True)
class AsShown:
    """A picture as its file asks for it to be shown.

    Attributes
    ----------
    planes:
        Turned, where that can be.
    words:
        What was done to them; empty where nothing was.
    warnings:
        That they are not turned though the file asks for it; mostly empty.
    """

    planes: Planes
    words: str = ""
    warnings: tuple[str, ...] = ()


def as_shown(
    planes: Planes, turn: Orientation | None, subsampling: Subsampling, path: str
) -> AsShown:
    """Orientation the planes of a picture as its file asks; a copy, in the same codes.

    Parameters
    ----------
    planes, subsampling:
        As stored.
    turn:
        As of `turn_of`.
    path:
        For the sentence where they cannot be turned.
    """
    if turn == UPRIGHT:
        return AsShown(planes)
    stays = "it is read, and shown, as it is stored"
    if turn is None:
        return AsShown(planes, "", (f"{path} asks to be shown at an angle: {stays}",))
    rows, columns = planes[0].shape
    if not _can_turn(turn, subsampling, columns, rows):
        why = f"which {subsampling.value} codes of {columns}x{rows} cannot be as they are"
        return AsShown(planes, "", (f"{path} asks to be {turn.words}, {why}: {stays}",))
    first, second, third = (_turned(plane, turn) for plane in planes)
    return AsShown((first, second, third), turn.words)


def _can_turn(turn: Orientation, subsampling: Subsampling, columns: int, rows: int) -> bool:
    """Whether samples can be moved so and still lie where the layout wants them.

    4:2:2 on its side would share chroma between rows, which no layout here does; and where a
    picture is turned about, an odd last column or row of chroma would come first.
    """
    if turn.is_on_side and subsampling.columns != subsampling.rows:
        return False
    return columns % subsampling.columns == 0 and rows % subsampling.rows == 0


def _turned(plane: Plane, turn: Orientation) -> Plane:
    mirrored = plane[:, ::-1] if turn.is_mirrored else plane
    made = np.ascontiguousarray(np.rot90(mirrored, -turn.quarters))
    made.flags.writeable = False
    return cast("Plane", made)
