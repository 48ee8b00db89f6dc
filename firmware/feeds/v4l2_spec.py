"""What stands behind ``v4l2:`` on the command line."""

from firmware.errors import FeedOptionError
from firmware.v4l2.device import Capture
from firmware.v4l2.edid import field_monitor_edid
from firmware.v4l2.formats import LAYOUTS
from overlays.wording.read_number import size_in, whole

_KEYS = ("format", "size", "receiver", "lanes")


def capture_of(text: str) -> Capture:
    """A capture device from ``/dev/video0[,format=UYVY][,size=1280x720][,lanes=4][,receiver=…]``.

    `lanes` is how many CSI-2 lanes the board's connector has; it decides which modes the camera is
    offered where the receiver has no EDID of its own.

    Raises
    ------
    FeedOptionError
        An option is unknown or impossible; the sentence lists what there is.
    """
    path, *options = text.split(",")
    if not path.startswith("/"):
        raise FeedOptionError(
            f"v4l2:{text} names no device; write for example v4l2:/dev/video0 "
            "(`midgrey doctor` lists those found)"
        )
    given: dict[str, str] = {}
    for option in options:
        key, equals, value = option.partition("=")
        if key not in _KEYS or not equals or not value:
            raise FeedOptionError(
                f"v4l2 option {option!r} is not understood; there are "
                f"{', '.join(f'{name}=' for name in _KEYS)}"
            )
        given[key] = value
    columns, rows = _size(given.get("size"))
    return Capture(
        path=path,
        receiver=given.get("receiver"),
        edid=field_monitor_edid(_lanes(given.get("lanes"))),
        pixel_format=_pixel_format(given.get("format")),
        columns=columns,
        rows=rows,
    )


def _pixel_format(value: str | None) -> str | None:
    if value is not None and value.upper() not in LAYOUTS:
        raise FeedOptionError(
            f"v4l2 format={value} cannot be measured; one of {', '.join(LAYOUTS)} can"
        )
    return value.upper() if value else None


def _lanes(value: str | None) -> int:
    if value is None:
        return 2
    if value in {"1", "2", "3", "4"}:
        return whole(value)
    raise FeedOptionError(f"v4l2 lanes={value} is impossible; a connector has 1 to 4")


def _size(value: str | None) -> tuple[int | None, int | None]:
    if value is None:
        return None, None
    size = size_in(value)
    if size is not None and min(size) >= 2:
        return size
    raise FeedOptionError(f"v4l2 size={value[:40]} is no size; write it as size=1280x720")
