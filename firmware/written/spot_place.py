"""Where a spot is, as it is written on the command line: ``X,Y``, ``X,Y,SIZE``, ``X,Y,WxH``."""

import re
from dataclasses import dataclass

from firmware.errors import ArgumentError
from overlays.measure.spot.spot import SpotPlace, check_place, default_size
from overlays.wording.read_number import number, whole

_WHOLE = re.compile(r"[+-]?\d{1,6}", re.ASCII)
_SIZE = re.compile(r"(\d{1,6})(?:x(\d{1,6}))?", re.ASCII)
_SHARE = re.compile(r"[+-]?(\d{1,6}\.\d{0,40}|\.\d{1,40})", re.ASCII)
_REMEDY = "write X,Y in pixels, as 960,540, or as shares of width and height, as 0.5,0.5"


@dataclass(frozen=True, slots=True)
class WrittenSpot:
    """A spot as it was asked for: centre in pixels, or in shares of width and height.

    Attributes
    ----------
    text:
        As written.
    column, row:
        Pixels where whole numbers, shares where they have a decimal point.
    size:
        Edge in pixels, or None for the usual one.
    height:
        Rows where the spot is no square, else 0.
    """

    text: str
    column: int | float
    row: int | float
    size: int | None = None
    height: int = 0

    def place(self, columns: int, rows: int, usual_size: int) -> SpotPlace:
        """The spot on a picture of a size.

        Written without a size it is smaller where the picture ends: any place that midgrey names is
        one that can be written.

        Raises
        ------
        SpotOutsideError
            It does not lie wholly inside.
        """
        column = self.column if isinstance(self.column, int) else int(self.column * columns)
        row = self.row if isinstance(self.row, int) else int(self.row * rows)
        size = self.size
        if size is None:
            if 0 <= column < columns and 0 <= row < rows:
                column, row = max(column, 1), max(row, 1)  # two pixels are the smallest spot
            half = min(usual_size // 2, column, columns - column, row, rows - row)
            size = 2 * half if half > 0 else usual_size  # which then does not lie inside
        place = SpotPlace(column, row, size, self.height)
        check_place(place, rows, columns)
        return place


CENTRE = WrittenSpot("the centre", 0.5, 0.5)


def parse_spot(text: str) -> WrittenSpot:
    """A spot as written.

    Raises
    ------
    ArgumentError
        It is no spot; the sentence shows how one is written.
    """
    parts = [part.strip() for part in text.split(",")]
    if not 2 <= len(parts) <= 3:
        raise ArgumentError(f"--at {text!r} has {len(parts)} numbers; {_REMEDY} (and ,SIZE)")
    size, height = (None, 0) if len(parts) == 2 else _written_size(text, parts[2])
    if all(_WHOLE.fullmatch(part) for part in parts[:2]):
        return WrittenSpot(text, whole(parts[0]), whole(parts[1]), size, height)
    if all(_SHARE.fullmatch(part) for part in parts[:2]):
        column, row = number(parts[0]), number(parts[1])
        if not (0.0 <= column <= 1.0 and 0.0 <= row <= 1.0):
            raise ArgumentError(
                f"--at {text!r}: with a decimal point both are shares from 0.0 to 1.0; {_REMEDY}"
            )
        return WrittenSpot(text, column, row, size, height)
    if all(_WHOLE.fullmatch(part) or _SHARE.fullmatch(part) for part in parts[:2]):
        raise ArgumentError(f"--at {text!r} mixes pixels and shares; {_REMEDY}")
    raise ArgumentError(f"--at {text!r} is no place; {_REMEDY}")


def _written_size(text: str, part: str) -> tuple[int, int]:
    """(edge, 0) of ``48``, (width, height) of ``48x40``."""
    found = _SIZE.fullmatch(part)
    if found is None or whole(found[1]) < 2 or whole(found[2] or "2") < 2:
        raise ArgumentError(
            f"--at {text!r}: the size {part!r} is no edge in pixels; write 2 or more, as "
            "960,540,48, or width and height, as 960,540,48x40"
        )
    return whole(found[1]), whole(found[2] or "0")


def usual_size(rows: int, spot_percent: float) -> int:
    """Edge in pixels of a spot of `spot_percent` of picture height."""
    return default_size(rows, spot_percent / 100.0)
