"""What stands behind ``v4l2:`` on the command line."""

from firmware.errors import FeedOptionError
from firmware.v4l2.device import Capture
from firmware.v4l2.formats import LAYOUTS

_KEYS = ("format", "size", "receiver")


def capture_of(text: str, edid: bytes | None = None) -> Capture:
    """A capture device from ``/dev/video0[,format=UYVY][,size=1280x720][,receiver=/dev/…]``.

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
        edid=edid,
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


def _size(value: str | None) -> tuple[int | None, int | None]:
    if value is None:
        return None, None
    columns, _, rows = value.partition("x")
    if columns.isdigit() and rows.isdigit() and int(columns) >= 2 and int(rows) >= 2:
        return int(columns), int(rows)
    raise FeedOptionError(f"v4l2 size={value} is no size; write it as size=1280x720")
