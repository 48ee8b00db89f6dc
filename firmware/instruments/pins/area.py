"""The area that should be evenly lit: as written, or as pins span it."""

from firmware.errors import ArgumentError
from firmware.instruments.scene import Scene
from overlays.measure.spot.spot import SpotPlace


def parse_area(text: str) -> SpotPlace:
    """Centre and size in pixels, ``X,Y,WIDTH,HEIGHT``.

    Raises
    ------
    ArgumentError
        It is none.
    """
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 4 or not all(part.isascii() and part.isdecimal() for part in parts):
        raise ArgumentError(
            f"--even {text!r} is no area; write its centre and size in pixels, X,Y,WIDTH,HEIGHT, "
            "as 960,540,1200,800"
        )
    column, row, width, height = (int(part) for part in parts)
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
