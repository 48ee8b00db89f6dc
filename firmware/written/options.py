"""What a person asks for on the command line, as it is typed; each option is declared here once.

Options of one instrument alone are declared in its folder.
"""

from pathlib import Path
from typing import Annotated

from firmware.written.declared import Argument, Option, options

FEED_WORDS = (
    "bench[:k=v,...], v4l2:/dev/videoN, rtsp:// or udp:// and where from, or the path of footage "
    "or a still"
)

At = Annotated[
    tuple[str, ...],
    Option(
        "--at",
        "X,Y[,SIZE]",
        "Centre of a spot: pixels, or shares of width and height with a decimal point; as often as "
        "wanted",
    ),
]
Pins = Annotated[
    tuple[str, ...], Option("--at", "X,Y[,SIZE]", "A pin, as often as wanted; else the profile's")
]
Gamut = Annotated[str | None, Option("--gamut", "G", "Published gamut, over the profile's")]


@options
class ReadOptions:
    """What to read and how, as every command that opens a feed takes it."""

    profile: Annotated[
        str | None, Option("--profile", "P", "Name of a profile, or its .toml file")
    ] = None
    curve: Annotated[
        str | None, Option("--curve", "NAME", "Published curve, over the profile's")
    ] = None
    carriage: Annotated[
        str | None, Option("--carriage", "full|narrow", "How the curve lies on codes")
    ] = None
    range: Annotated[
        str | None,
        Option(
            "--range", "limited|full|stretched|squeezed|squeezed-twice", "Range, over the feed's"
        ),
    ] = None
    matrix: Annotated[
        str | None, Option("--matrix", "BT.709|BT.601|BT.2020", "Matrix, over the feed's")
    ] = None


@options
class JsonOption:
    """Whether a person or a program reads the answer."""

    json: Annotated[bool, Option("--json", "", "One JSON object, schema 1")] = False


@options
class FrameOptions(ReadOptions, JsonOption):
    """One frame of one feed."""

    feed: Annotated[str, Argument("FEED", FEED_WORDS)]
    frame: Annotated[int, Option("--frame", "N", "Frame, from 0", least=0)] = 0
    mark: Annotated[
        bool, Option("--mark", "", "Save what was read in the journal, as a mark on the screen is")
    ] = False


@options
class LineupOptions:
    """What `midgrey lineup` takes."""

    size: Annotated[str | None, Option("--size", "WxH", "Size of the window, as 1280x720")] = None
    screenshot: Annotated[
        Path | None, Option("--screenshot", "FILE.png", "Keep the picture, show none")
    ] = None
    rotate: Annotated[
        int | None, Option("--rotate", "DEGREES", "For a panel that is mounted turned")
    ] = None


@options
class RunOptions(ReadOptions):
    """What `midgrey run` takes."""

    feed: Annotated[str | None, Argument("FEED", FEED_WORDS)] = None
    size: Annotated[str | None, Option("--size", "WxH", "Size of the window, as 1280x720")] = None
    frames: Annotated[int | None, Option("--frames", "N", "End after N frames", least=1)] = None
    view: Annotated[str | None, Option("--view", "V", "As expose, advice, watch")] = None
    screenshot: Annotated[
        Path | None, Option("--screenshot", "FILE.png", "Keep the last screen")
    ] = None
    stats: Annotated[Path | None, Option("--stats", "FILE.json", "Keep counts and times")] = None
    rotate: Annotated[
        int | None,
        Option(
            "--rotate",
            "DEGREES",
            "Turn the picture clockwise by 90, 180 or 270, for a panel that is mounted turned",
        ),
    ] = None
    headless: Annotated[
        bool, Option("--headless", "", "Draw nothing; print a line of JSON a second")
    ] = False
    preset: Annotated[
        Path | None, Option("--preset", "FILE.toml", "Start as a preset says, as a unit would")
    ] = None
    keep: Annotated[
        Path | None, Option("--keep", "FILE.json", "Keep what is set, and start with it")
    ] = None
    factory: Annotated[
        bool, Option("--factory", "", "Leave what was kept aside and start without it")
    ] = False
    journal: Annotated[
        Path | None, Option("--journal", "FILE", "Keep marks in this journal, not in the usual one")
    ] = None
    page: Annotated[
        str | None,
        Option(
            "--page",
            "WHERE",
            "Serve a page for a phone at an address or an interface; on: at the unit's own socket",
        ),
    ] = None
    slate: Annotated[
        str | None,
        Option("--slate", "scene=12,take=3", "What marks carry: scene, shot, take, camera, notes"),
    ] = None
