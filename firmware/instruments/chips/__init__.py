"""White, grey and glossy black read at once."""

from typing import Annotated

from firmware.written.declared import Command, Option, options
from firmware.written.options import FrameOptions


@options
class ChipsOptions(FrameOptions):
    """What `midgrey chips` takes."""

    at: Annotated[
        tuple[str, ...],
        Option(
            "--at",
            "X,Y[,SIZE]",
            "Three times: white, grey, black; else the profile's pins of these names",
        ),
    ] = ()


COMMAND = Command(
    "chips",
    "Read white, grey and glossy black at once and say what explains them where they are off.",
    ChipsOptions,
)
