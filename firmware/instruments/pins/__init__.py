"""Lighting ratios between pins, and how even an area is lit."""

from dataclasses import dataclass
from typing import Annotated

from firmware.written.declared import Command, Option
from firmware.written.options import FrameOptions, Pins


@dataclass(frozen=True, kw_only=True)
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
