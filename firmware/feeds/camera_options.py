"""What stands behind ``camera`` on the command line."""

from dataclasses import dataclass
from enum import Enum

from firmware.errors import FeedOptionError
from overlays.wording.read_number import short, size_in, whole_in

SMALLEST = 64
"""Shortest edge of a picture that is asked of a camera."""
MOST_CAMERAS = 99
"""A board has one or two connectors."""


class CameraStream(Enum):
    """Which of the camera's streams is read."""

    PICTURE = "picture"
    """What its image processor makes: for the eye, with a tone curve of its own."""
    RAW = "raw"
    """What its sensor counts: linear light, for stops."""


@dataclass(frozen=True, slots=True)
class CameraOptions:
    """Which stream, of which camera, in which size (columns, rows)."""

    stream: CameraStream = CameraStream.PICTURE
    number: int = 0
    size: tuple[int, int] = (1920, 1080)


def camera_options(text: str) -> CameraOptions:
    """Options from ``[raw|picture][,number=0][,size=1920x1080]``.

    Raises
    ------
    FeedOptionError
        One is unknown or impossible.
    """
    options = CameraOptions()
    stream, number, size = options.stream, options.number, options.size
    for part in (part for part in text.split(",") if part):
        key, _, value = part.partition("=")
        if part in {"raw", "picture"}:
            stream = CameraStream(part)
        elif key == "number" and 0 <= (given := _whole(value)) <= MOST_CAMERAS:
            number = given
        elif key == "size":
            size = _size(value)
        else:
            raise FeedOptionError(
                f"camera option {short(part)} is not understood; there are raw, picture, "
                "number=, size="
            )
    return CameraOptions(stream, number, size)


def _whole(value: str) -> int:
    given = whole_in(value)
    return -1 if given is None else given


def _size(value: str) -> tuple[int, int]:
    size = size_in(value)
    if size is not None and min(size) >= SMALLEST:
        # The image processor works on pairs of pixels.
        return size[0] // 2 * 2, size[1] // 2 * 2
    raise FeedOptionError(f"camera size={value[:40]} is no size; write it as size=1280x720")
