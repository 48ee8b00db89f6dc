"""A colour chart, patch by patch, or two looks on it."""

from pathlib import Path
from typing import Annotated

from firmware.written.declared import Command, Option, options
from firmware.written.options import FrameOptions, Gamut


@options
class ChartOptions(FrameOptions):
    """What `midgrey chart` takes."""

    corners: Annotated[
        str | None,
        Option(
            "--corners",
            "X,Y,X,Y,X,Y,X,Y",
            "Outer corners of its four corner patches, in any order; else it is looked for",
        ),
    ] = None
    reference: Annotated[
        Path | None, Option("--reference", "FILE", "CGATS.17 / ISO 28178 text of the chart")
    ] = None
    layout: Annotated[str | None, Option("--layout", "CxR", "Patches across and down, as 6x4")] = (
        None
    )
    edition: Annotated[
        str | None,
        Option(
            "--edition",
            "1976|before-2014|since-2014",
            "Make of the 24-patch chart; else the one that fits best",
        ),
    ] = None
    gamut: Gamut = None
    scale: Annotated[
        str, Option("--scale", "neutrals|exposure", "What of the greys to even out")
    ] = "neutrals"
    against: Annotated[str | None, Option("--against", "FEED", "The chart under another look")] = (
        None
    )
    against_profile: Annotated[
        str | None, Option("--against-profile", "P", "Profile of that look")
    ] = None
    picture: Annotated[Path | None, Option("--picture", "FILE.png", "Draw it as a picture")] = None


COMMAND = Command(
    "chart", "Read a colour chart patch by patch, or compare two looks on it.", ChartOptions
)
