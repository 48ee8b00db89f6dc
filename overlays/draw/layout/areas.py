"""Rectangles of a screen, and pictures fitted into them."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle in pixels of the screen; `right` and `bottom` are one past the last."""

    left: int
    top: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """One past the last column."""
        return self.left + self.width

    @property
    def bottom(self) -> int:
        """One past the last row."""
        return self.top + self.height

    def inset(self, by: int) -> "Area":
        """Smaller by so much on each side."""
        return Area(self.left + by, self.top + by, self.width - 2 * by, self.height - 2 * by)

    def holds(self, other: "Area") -> bool:
        """Whether the other lies wholly inside."""
        return (
            self.left <= other.left
            and self.top <= other.top
            and other.right <= self.right
            and other.bottom <= self.bottom
        )

    def beside(self, other: "Area") -> "Area":
        """The wider part of it at the left or the right of another one."""
        left = max(min(other.left, self.right) - self.left, 0)
        right = max(self.right - max(other.right, self.left), 0)
        if left >= right:
            return Area(self.left, self.top, left, self.height)
        return Area(self.right - right, self.top, right, self.height)

    def above(self, row: int) -> "Area":
        """The part of it above a row of the screen."""
        return Area(self.left, self.top, self.width, max(min(self.bottom, row) - self.top, 0))

    def meets(self, other: "Area") -> bool:
        """Whether the two have a pixel in common."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


CHEAP_RATIOS = ((1, 1), (3, 2), (2, 1), (5, 2), (3, 1), (4, 1))
"""Reductions that have a loop of their own (`overlays.draw.picture.picture`)."""

CHEAP_ENOUGH = 0.8
"""A cheap ratio is taken where it costs no more than this share of the size."""


def fitted(columns: int, rows: int, width: int, height: int) -> tuple[int, int]:
    """The largest picture of that shape in a box; even width, at least 2x2."""
    scale = min(width / columns, height / rows)
    wide = max(round(columns * scale) // 2 * 2, 2)
    return min(wide, width), min(max(round(rows * scale), 2), height)


def cheaply_fitted(
    columns: int, rows: int, width: int, height: int, enough: float = CHEAP_ENOUGH
) -> tuple[int, int]:
    """The same, or a little smaller where that makes a ratio with a loop of its own."""
    best = fitted(columns, rows, width, height)
    for source, drawn in CHEAP_RATIOS:
        wide, high = columns * drawn // source, rows * drawn // source
        whole = wide * source == columns * drawn and high * source == rows * drawn
        if whole and wide <= width and high <= height and wide >= enough * best[0]:
            return wide, high
    return best
