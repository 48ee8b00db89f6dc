"""Whether a feed is what it is read as: lens cap, grey card and clip against all that is known."""

from pathlib import Path
from typing import Annotated

from firmware.written.declared import Command, Option, options
from firmware.written.options import JsonOption, ReadOptions

_FEED = "FEED[#N][@X,Y]"


@options
class FeedcheckOptions(ReadOptions, JsonOption):
    """What `midgrey feedcheck` takes: a feed for each reading, with the number of its frame."""

    cap: Annotated[
        str, Option("--cap", _FEED, "The lens covered; #N is a frame, from 0, @X,Y a place")
    ]
    card: Annotated[
        str, Option("--card", _FEED, "A grey card (18 %) put at mid-grey by a light meter")
    ]
    clip: Annotated[
        str,
        Option("--clip", _FEED, "A lamp that the camera cannot hold; never the sun"),
    ]
    white: Annotated[
        str | None, Option("--white", _FEED, "A white chip (90 %) in the card's light and exposure")
    ] = None
    dark: Annotated[
        str | None, Option("--dark", _FEED, "The card with lens or shutter closed by four stops")
    ] = None
    patch: Annotated[
        tuple[str, ...],
        Option(
            "--patch", _FEED, "A saturated patch of a 24-patch chart, lit as the card; give several"
        ),
    ] = ()
    patch_is: Annotated[
        tuple[str, ...],
        Option(
            "--patch-is",
            "COLOUR",
            "Which each is: red, green, blue, yellow, magenta or cyan; of one alone it is red",
        ),
    ] = ()
    chart: Annotated[
        str | None,
        Option("--chart", "FEED[#N]", "A whole chart, lit as the card: its saturated patches"),
    ] = None
    at: Annotated[
        str | None, Option("--at", "X,Y[,SIZE]", "Where to read what has no @X,Y; else the centre")
    ] = None
    card_within: Annotated[
        str | None,
        Option("--card-within", "STOPS", 'How far the card may be off mid-grey, as "0.3 st"'),
    ] = None
    colours_within: Annotated[
        str | None,
        Option(
            "--colours-within",
            "SHARE",
            'How far the camera\'s own colours may be off, as "5 %"; else 10 %',
        ),
    ] = None
    profile_out: Annotated[
        Path | None, Option("--profile-out", "FILE.toml", "Write a profile that reads it rightly")
    ] = None
    keep: Annotated[
        bool, Option("--keep", "", "Keep range and matrix for this capture device from now on")
    ] = False


COMMAND = Command(
    "feedcheck",
    "Say from lens cap, grey card and clip whether a feed is what it is read as, and what if not.",
    FeedcheckOptions,
)
