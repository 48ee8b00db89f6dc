"""What brings camera B to camera A, pin by pin, and what then remains."""

from pathlib import Path
from typing import Annotated

from firmware.written.declared import Argument, Command, Option, options
from firmware.written.options import Gamut, JsonOption, Pins


@options
class MatchOptions(JsonOption):
    """What `midgrey match` takes: a frame of each of two feeds, which may be read differently."""

    feed_a: Annotated[str, Argument("A", "Feed of camera A, which stays")]
    feed_b: Annotated[str, Argument("B", "Feed of camera B, which is brought to A")]
    at: Pins = ()
    at_b: Annotated[
        tuple[str, ...], Option("--at-b", "X,Y[,SIZE]", "The same pins on B; else as on A")
    ] = ()
    profile: Annotated[
        str | None, Option("--profile", "P", "Name of a profile, or its .toml file")
    ] = None
    profile_b: Annotated[str | None, Option("--profile-b", "P", "Profile of B; else that of A")] = (
        None
    )
    curve: Annotated[
        str | None, Option("--curve", "NAME", "Published curve, over the profile's")
    ] = None
    curve_b: Annotated[
        str | None, Option("--curve-b", "NAME", "Curve of B, over its profile's")
    ] = None
    dial_b: Annotated[str | None, Option("--dial-b", "K", "What B's balance is dialled to")] = None
    gamut: Gamut = None
    cdl: Annotated[
        Path | None,
        Option("--cdl", "FILE.cc|.cdl", "Write what remains after dialling as an ASC CDL"),
    ] = None
    cdl_whole: Annotated[
        Path | None,
        Option("--cdl-whole", "FILE.cc|.cdl", "Write the whole difference, for footage shot"),
    ] = None
    frame: Annotated[int, Option("--frame", "N", "Frame, from 0", least=0)] = 0


COMMAND = Command(
    "match",
    "Say what brings camera B to camera A, pin by pin, and what then remains.",
    MatchOptions,
)
