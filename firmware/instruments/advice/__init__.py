"""How far a card is off its target, and which move of the camera puts it right."""

from typing import Annotated

from firmware.written.declared import Command, Option, options
from firmware.written.options import FrameOptions


@options
class AdviceOptions(FrameOptions):
    """What `midgrey expose` takes."""

    at: Annotated[str | None, Option("--at", "X,Y[,SIZE]", "Spot on a card; else centre")] = None
    target: Annotated[
        str | None, Option("--target", "LEVEL", '"0 st" or "42 %", over the profile\'s')
    ] = None
    iso: Annotated[str | None, Option("--iso", "N", "Where it stands")] = None
    aperture: Annotated[str | None, Option("--aperture", "N", "5.6, f/5.6 or T2.1")] = None
    shutter: Annotated[str | None, Option("--shutter", "S", '"180 deg" or 1/50')] = None
    nd: Annotated[str | None, Option("--nd", "D", 'Density 0.6, "2 st", 1/4, or 1/4+1/8')] = None
    variable_nd: Annotated[
        bool, Option("--variable-nd", "", "There is an ND that can be turned, for what is left")
    ] = False
    mains: Annotated[str | None, Option("--mains", "M", '"50 Hz", "60 Hz" or none')] = None


COMMAND = Command(
    "expose",
    "Say how far a card is off its target, and which move of the camera puts it right.",
    AdviceOptions,
)
