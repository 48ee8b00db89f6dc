"""What presses do to the spot itself: pure, on a picture of a size."""

from collections.abc import Callable

from firmware.actions import Press
from firmware.instruments.desk import inside
from overlays.measure.spot.spot import SpotPlace

COARSE_SHARE = 40
"""A coarse step of the spot is picture width divided by this: 48 pixels of 1920."""

GROWTH = 1.25
"""From one size of the spot to the next."""

LEAST_SPOT = 4
"""Edge of the smallest spot in pixels."""

Size = tuple[int, int]
"""(columns, rows) of the picture."""

Change = Callable[[SpotPlace, Size], SpotPlace]


def stepped(across: int, down: int) -> Change:
    """A coarse step."""

    def changed(spot: SpotPlace, size: Size) -> SpotPlace:
        step = max(size[0] // COARSE_SHARE, 2)
        return inside(spot.column + across * step, spot.row + down * step, spot.size, *size)

    return changed


def shifted(across: int, down: int) -> Change:
    """So many pixels."""

    def changed(spot: SpotPlace, size: Size) -> SpotPlace:
        return inside(spot.column + across, spot.row + down, spot.size, *size)

    return changed


def grown(factor: float) -> Change:
    """Larger or smaller, by two pixels at least."""

    def changed(spot: SpotPlace, size: Size) -> SpotPlace:
        edge = 2 * round(spot.size * factor / 2.0)
        if edge == spot.size:
            edge += 2 if factor > 1.0 else -2
        return inside(spot.column, spot.row, min(max(edge, LEAST_SPOT), *size), *size)

    return changed


def centred(spot: SpotPlace, size: Size) -> SpotPlace:
    """In the middle of the picture."""
    return inside(size[0] // 2, size[1] // 2, spot.size, *size)


SPOT_STEPS: dict[Press, Change] = {
    Press.SPOT_LEFT: stepped(-1, 0),
    Press.SPOT_RIGHT: stepped(1, 0),
    Press.SPOT_UP: stepped(0, -1),
    Press.SPOT_DOWN: stepped(0, 1),
    Press.SPOT_LEFT_FINE: shifted(-1, 0),
    Press.SPOT_RIGHT_FINE: shifted(1, 0),
    Press.SPOT_UP_FINE: shifted(0, -1),
    Press.SPOT_DOWN_FINE: shifted(0, 1),
    Press.SPOT_LARGER: grown(GROWTH),
    Press.SPOT_SMALLER: grown(1.0 / GROWTH),
    Press.SPOT_CENTRE: centred,
}
"""What each of these presses does to the spot."""
