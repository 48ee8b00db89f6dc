"""A camera that nobody has described: curve, clip, floor and noise from cap, bracket and clip."""

from pathlib import Path
from typing import Annotated

from firmware.written.declared import Command, Option, options
from firmware.written.options import JsonOption, ReadOptions


@options
class CharacteriseOptions(ReadOptions, JsonOption):
    """What `midgrey characterise` takes."""

    cap: Annotated[str, Option("--cap", "FEED[#N]", "The lens covered; #N is a frame, from 0")]
    bracket: Annotated[
        tuple[str, ...],
        Option(
            "--bracket",
            "FEED[#N]@STOPS[@X,Y]",
            "A grey card, so many stops above or below mid-grey; at least five times",
        ),
    ] = ()
    clip: Annotated[
        str, Option("--clip", "FEED[#N]", "A lamp that the camera cannot hold; never the sun")
    ]
    at: Annotated[
        str | None, Option("--at", "X,Y[,SIZE]", "Where cap and card are read; else the centre")
    ] = None
    name: Annotated[str, Option("--name", "NAME", "What to call the camera")] = "measured camera"
    profile_out: Annotated[
        Path | None, Option("--profile-out", "FILE.toml", "Write a profile of it")
    ] = None
    report: Annotated[
        Path | None, Option("--report", "FILE.html", "Write a page with its plots")
    ] = None


COMMAND = Command(
    "characterise",
    "Measure a camera's curve, clip, floor and noise from cap, bracket of a grey card and clip.",
    CharacteriseOptions,
)
