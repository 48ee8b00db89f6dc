"""The area that should be evenly lit: as written, or as pins span it."""

from firmware.errors import ArgumentError
from firmware.instruments.scene import Scene
from overlays.measure.spot.spot import SpotPlace
from overlays.wording.read_number import LONGEST_EDGE as LARGEST
from overlays.wording.read_number import short, whole_in


def parse_area(text: str) -> SpotPlace:
    """Centre and size in pixels, ``X,Y,WIDTH,HEIGHT``.

    Raises
    ------
    ArgumentError
        It is none.
    """
    parts = [part.strip() for part in text.split(",")]
    numbers = [number for part in parts if (number := whole_in(part)) is not None]
    if len(parts) != 4 or len(numbers) != 4 or not all(0 <= each <= LARGEST for each in numbers):
        raise ArgumentError(
            f"--even {short(text)} is no area; write its centre and size in pixels, "
            "X,Y,WIDTH,HEIGHT, as 960,540,1200,800"
        )
    column, row, width, height = numbers
    return SpotPlace(column, row, width, height)


def area_of(scene: Scene) -> SpotPlace:
    """The box that holds the last two pins, or the spot's where there are not two."""
    pins = scene.desk.pins
    if len(pins) < 2:
        return scene.place
    one, other = (pin.place for pin in pins[-2:])
    left, top = min(one.left, other.left), min(one.top, other.top)
    width = max(one.left + one.size, other.left + other.size) - left
    height = max(one.top + one.rows, other.top + other.rows) - top
    return SpotPlace(left + width // 2, top + height // 2, width, height)
