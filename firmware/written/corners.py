"""A chart's corners and layout as they are written on the command line."""

import re

from firmware.errors import ArgumentError
from overlays.measure.chart.place import Corners, in_order
from overlays.wording.read_number import number, whole

_SEPARATOR = re.compile(r"[\s,;]+")
_WHOLE = re.compile(r"[+-]?\d{1,6}", re.ASCII)
_SHARE = re.compile(r"[+-]?(\d{1,6}\.\d{0,40}|\.\d{1,40})", re.ASCII)
_LAYOUT = re.compile(r"(\d{1,2})\s*[xX×]\s*(\d{1,2})", re.ASCII)
_REMEDY = "write four times X,Y in pixels, or in shares of width and height with a decimal point"


def parse_corners(text: str, columns: int, rows: int) -> Corners:
    """Four corners on a picture of a size, in order round the chart whatever order they come in.

    Raises
    ------
    ArgumentError
        They are not eight numbers of one kind.
    ChartPlaceError
        They make no four-sided figure.
    """
    words = [word for word in _SEPARATOR.split(text.strip()) if word]
    if len(words) != 8:
        raise ArgumentError(f"--corners {text!r} has {len(words)} numbers, 8 are needed; {_REMEDY}")
    if all(_WHOLE.fullmatch(word) for word in words):
        scale = (1.0, 1.0)
    elif all(_SHARE.fullmatch(word) for word in words):
        scale = (float(columns), float(rows))
    else:
        raise ArgumentError(f"--corners {text!r} is not eight numbers of one kind; {_REMEDY}")
    numbers = [number(word) for word in words]
    points = tuple(
        (x * scale[0], y * scale[1]) for x, y in zip(numbers[::2], numbers[1::2], strict=True)
    )
    return in_order(points)


def parse_layout(text: str) -> tuple[int, int]:
    """(columns, rows) of a chart's patches, as ``6x4``.

    Raises
    ------
    ArgumentError
        It is no layout, or has fewer than two either way.
    """
    found = _LAYOUT.fullmatch(text.strip())
    if found is None or min(whole(found[1]), whole(found[2])) < 2:
        raise ArgumentError(f"--layout {text!r} is none; write patches across x down, as 6x4")
    return whole(found[1]), whole(found[2])
