"""What an arrangement may fill, and what it puts where."""

from dataclasses import dataclass

from overlays.draw.layout.areas import Area
from overlays.draw.layout.theme import TextSize, Theme

LEAST_FOR_PANEL = 400
"""Pixels of the shorter side: on a smaller screen the readings need all of their column."""


@dataclass(frozen=True, slots=True)
class Placed:
    """Where one arrangement puts things between the upper edge of the screen and its foot.

    Attributes
    ----------
    picture:
        Where the picture is drawn, its shape kept; None in a view without one.
    readings:
        Where readings may stand: at the side of the picture, under it, or the whole screen.
    clear:
        The part of the picture that nothing stands on, with what is free above it: banners, alerts
        and keys go there.
    trace:
        As wide as the picture, column for column: along its lower edge or under it; or None.
    panel:
        Of a chroma trace or a chart, or None.
    """

    picture: Area | None
    readings: Area
    clear: Area
    trace: Area | None = None
    panel: Area | None = None


@dataclass(frozen=True, slots=True)
class Bounds:
    """What an arrangement may fill.

    Attributes
    ----------
    screen:
        All of it.
    bottom, above_rail, rest:
        Where the foot begins now, how far down the screen is free of the rail, and where the foot
        begins while the rail rests: what lies over the picture keeps its upper edge then and now.
    gives_way:
        Whether readings go to the left, since what is read is at the right.
    """

    screen: Area
    theme: Theme
    bottom: int
    above_rail: int
    rest: int
    gives_way: bool = False

    @property
    def is_upright(self) -> bool:
        """Whether the screen is higher than wide."""
        return self.screen.height > self.screen.width

    @property
    def is_small(self) -> bool:
        """Whether there is no room for a panel besides the readings."""
        return min(self.screen.width, self.screen.height) < LEAST_FOR_PANEL

    def ems(self, count: float) -> int:
        """Pixels of so many ems of the smallest type."""
        return round(count * self.theme.text_pixels(TextSize.TINY))
