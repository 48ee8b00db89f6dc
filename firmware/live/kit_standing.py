"""From what is painted to what the kit is left of it, and what instruments are told of others."""

from typing import TYPE_CHECKING

from firmware.instruments.desk import PinPlace
from firmware.instruments.heard import HeardUnit
from firmware.opening.read_with import ReadWith
from overlays.draw.moment.shown import Measured
from overlays.signal.kept_frame import kept

if TYPE_CHECKING:
    from firmware.kit.ear import HeardNow
    from firmware.kit.reading import PictureCopy


def picture_of(readable: Measured, read: ReadWith, pins: tuple[PinPlace, ...]) -> "PictureCopy":
    """A copy that numbers can be taken from later, of which a millisecond or two are spent here."""
    # Loaded with the post already.
    from firmware.kit.reading import PictureCopy  # noqa: PLC0415

    return PictureCopy(
        kept(readable.frame), readable.yard, read, readable.place, readable.spot, pins
    )


def heard_unit(heard: "HeardNow", *, is_up: bool) -> HeardUnit:
    """A unit as instruments are told of it."""
    # Loaded with the post already.
    from firmware.kit.spots import told_pin  # noqa: PLC0415

    reading = heard.reading
    assert reading is not None
    camera = reading.camera
    why = f"{heard.name} {heard.absence}" if heard.absence else ""
    if not is_up:
        why = f"the kit is out of reach: nothing is heard of {heard.name}"
    elif not why and not (reading.believed and camera):
        why = f"{heard.name} has no picture that can be read: {reading.state}"
    return HeardUnit(
        heard.name,
        (reading.boot, reading.number),
        why,
        heard.wall_s,
        {} if camera is None else camera.model_dump(),
        () if camera is None else camera.warnings,
        lambda: [told_pin(pin) for pin in reading.pins],
    )
