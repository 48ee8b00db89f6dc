"""Lighting ratios between pins, and how even an area is lit."""

from typing import Annotated

from firmware.written.declared import Command, Option, options
from firmware.written.options import FrameOptions, Pins


@options
class PinsOptions(FrameOptions):
    """What `midgrey pins` takes."""

    at: Pins = ()
    even: Annotated[
        str | None,
        Option("--even", "X,Y,W,H", "Centre and size of an area that should be even"),
    ] = None


COMMAND = Command(
    "pins",
    "Read pins, their differences as lighting ratios, and how even an area is lit.",
    PinsOptions,
)
