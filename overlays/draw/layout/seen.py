"""Where on the screen a pixel of the feed's picture is seen, and which one is under a finger."""

from dataclasses import dataclass

from overlays.draw.layout.areas import Area
from overlays.draw.layout.monitor import Monitor

EVEN = 4
"""Columns and rows that a part of a picture begins at and is measured in: whole samples of chroma
in every layout, and a ratio with a loop of its own where the whole picture has one."""


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the feed's picture, in its pixels."""

    left: int
    top: int
    columns: int
    rows: int


@dataclass(frozen=True, slots=True)
class PictureSeen:
    """A part of the feed's picture on an area of the screen, perhaps turned.

    Attributes
    ----------
    area:
        Of the screen.
    part:
        Of the feed's picture: what fills the area.
    flipped, mirrored:
        Upside down; left for right.
    """

    area: Area
    part: Part
    flipped: bool = False
    mirrored: bool = False

    @property
    def across(self) -> float:
        """Pixels of the screen to a column of the feed's picture."""
        return self.area.width / self.part.columns

    @property
    def down(self) -> float:
        """Pixels of the screen to a row of the feed's picture."""
        return self.area.height / self.part.rows

    def point(self, column: float, row: float) -> tuple[float, float]:
        """The same as `at`, between pixels of the screen."""
        x, y = (column - self.part.left) * self.across, (row - self.part.top) * self.down
        return (
            self.area.right - x if self.mirrored else self.area.left + x,
            self.area.bottom - y if self.flipped else self.area.top + y,
        )

    def at(self, column: float, row: float) -> tuple[int, int]:
        """Where a pixel of the feed's picture is seen; outside the area if it is not."""
        x = round((column - self.part.left) * self.across)
        y = round((row - self.part.top) * self.down)
        return (
            self.area.right - x if self.mirrored else self.area.left + x,
            self.area.bottom - y if self.flipped else self.area.top + y,
        )

    def box(self, left: float, top: float, width: float, height: float, least: int = 0) -> Area:
        """Where a rectangle of the feed's picture is seen, at least so many pixels each way."""
        x, y = self.at(left, top)
        wide = max(round(width * self.across), least)
        high = max(round(height * self.down), least)
        return Area(x - wide if self.mirrored else x, y - high if self.flipped else y, wide, high)

    def cell(self, left: float, top: float, width: float, height: float) -> Area:
        """The same, each edge rounded by itself: neighbours share theirs."""
        (x, y), (right, bottom) = self.at(left, top), self.at(left + width, top + height)
        return Area(min(x, right), min(y, bottom), abs(right - x), abs(bottom - y))

    def pixel(self, x: int, y: int) -> tuple[int, int] | None:
        """The pixel (column, row) of the feed's picture under one of the screen, if there is."""
        across, down = x - self.area.left, y - self.area.top
        if not (0 <= across < self.area.width and 0 <= down < self.area.height):
            return None
        if self.mirrored:
            across = self.area.width - 1 - across
        if self.flipped:
            down = self.area.height - 1 - down
        part = self.part
        return (
            part.left + across * part.columns // self.area.width,
            part.top + down * part.rows // self.area.height,
        )


def part_of(monitor: Monitor, size: tuple[int, int], spot: tuple[int, int]) -> Part:
    """The part that is magnified: round the spot, wholly inside the picture.

    Parameters
    ----------
    monitor:
        How much is magnified.
    size:
        (columns, rows) of the feed's picture.
    spot:
        (column, row) of its middle.
    """
    if monitor.times == 1:
        return Part(0, 0, *size)
    starts, lengths = [], []
    for whole, middle in zip(size, spot, strict=True):
        length = max(whole // monitor.times // EVEN * EVEN, min(EVEN, whole))
        first = min(max(middle - length // 2, 0), whole - length) // EVEN * EVEN
        starts.append(first)
        lengths.append(length)
    return Part(starts[0], starts[1], lengths[0], lengths[1])


def seen_on(
    monitor: Monitor, area: Area, size: tuple[int, int], spot: tuple[int, int]
) -> PictureSeen:
    """How a feed's picture of (columns, rows) is seen on an area; `spot` as in `part_of`."""
    return PictureSeen(area, part_of(monitor, size, spot), monitor.flipped, monitor.mirrored)
