"""White balance off a neutral card: what to dial, how much tint, which filter."""

from typing import Annotated

from firmware.written.declared import Command, Option, options
from firmware.written.options import FrameOptions, Gamut


@options
class BalanceOptions(FrameOptions):
    """What `midgrey balance` takes; without `at` the centre is read."""

    at: Annotated[str | None, Option("--at", "X,Y[,SIZE]", "Spot on a white or grey card")] = None
    dial: Annotated[str | None, Option("--dial", "K", "What the camera is set to, in kelvin")] = (
        None
    )
    tint: Annotated[
        str | None, Option("--tint", "T", "Its tint, in thousandths of Duv; usually 0")
    ] = None
    gamut: Gamut = None


COMMAND = Command(
    "balance",
    "Read the balance off a neutral card: what to dial, how much tint, which filter.",
    BalanceOptions,
)
