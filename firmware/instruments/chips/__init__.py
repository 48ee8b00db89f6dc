"""White, grey and glossy black read at once."""

from dataclasses import dataclass
from typing import Annotated

from firmware.written.declared import Command, Option
from firmware.written.options import FrameOptions


@dataclass(frozen=True, kw_only=True)
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
