"""The commands about exposure: `expose`, `chips`, `pins`, `match` and `watch`."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from firmware.cli_options import (
    FEED_HELP,
    CarriageOption,
    CurveOption,
    GamutOption,
    MatrixOption,
    ProfileOption,
    RangeOption,
    overrides,
)
from firmware.commands.guard import guarded

FeedArgument = Annotated[str, typer.Argument(metavar="FEED", help=FEED_HELP)]
FrameOption = Annotated[int, typer.Option("--frame", min=0, metavar="N", help="Frame, from 0")]
JsonOption = Annotated[bool, typer.Option("--json", help="One JSON object, schema 1")]
PinsOption = Annotated[
    list[str] | None,
    typer.Option(
        "--at", metavar="X,Y[,SIZE]", help="A pin, as often as wanted; else the profile's"
    ),
]


def expose(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    feed: FeedArgument,
    profile: ProfileOption = None,
    at: Annotated[
        str | None, typer.Option("--at", metavar="X,Y[,SIZE]", help="Spot on a card; else centre")
    ] = None,
    target: Annotated[
        str | None,
        typer.Option("--target", metavar="LEVEL", help='"0 st" or "42 %", over the profile\'s'),
    ] = None,
    iso: Annotated[str | None, typer.Option("--iso", metavar="N", help="Where it stands")] = None,
    aperture: Annotated[
        str | None, typer.Option("--aperture", metavar="N", help="5.6, f/5.6 or T2.1")
    ] = None,
    shutter: Annotated[
        str | None, typer.Option("--shutter", metavar="S", help='"180 deg" or 1/50')
    ] = None,
    nd: Annotated[
        str | None, typer.Option("--nd", metavar="D", help='Density 0.6, "2 st" or 1/4; 0 is none')
    ] = None,
    mains: Annotated[
        str | None, typer.Option("--mains", metavar="M", help='"50 Hz", "60 Hz" or none')
    ] = None,
    frame: FrameOption = 0,
    as_json: JsonOption = False,
    curve: CurveOption = None,
    carriage: CarriageOption = None,
    range_: RangeOption = None,
    matrix: MatrixOption = None,
) -> None:
    """Say how far a card is off its target, and which move of the camera puts it right."""
    with guarded():
        from firmware.clock import SystemClock  # noqa: PLC0415 - keeps --help fast
        from firmware.commands.expose import expose as advise  # noqa: PLC0415
        from firmware.exposure_options import ExposeOptions  # noqa: PLC0415
        from firmware.written.options import Output  # noqa: PLC0415

        options = ExposeOptions(
            feed=feed,
            profile=profile,
            overrides=overrides(curve, carriage, range_, matrix),
            spot=at,
            target=target,
            iso=iso,
            aperture=aperture,
            shutter=shutter,
            nd=nd,
            mains=mains,
            frame=frame,
            output=Output.JSON if as_json else Output.TABLE,
        )
        advise(options, SystemClock(), sys.stdout)


def chips(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    feed: FeedArgument,
    profile: ProfileOption = None,
    at: Annotated[
        list[str] | None,
        typer.Option(
            "--at",
            metavar="X,Y[,SIZE]",
            help="Three times: white, grey, black; else the profile's pins of these names",
        ),
    ] = None,
    frame: FrameOption = 0,
    as_json: JsonOption = False,
    curve: CurveOption = None,
    carriage: CarriageOption = None,
    range_: RangeOption = None,
    matrix: MatrixOption = None,
) -> None:
    """Read white, grey and glossy black at once and say what explains them where they are off."""
    with guarded():
        from firmware.clock import SystemClock  # noqa: PLC0415 - keeps --help fast
        from firmware.commands.chips import chips as read_chips  # noqa: PLC0415
        from firmware.exposure_options import PinsOptions  # noqa: PLC0415
        from firmware.written.options import Output  # noqa: PLC0415

        options = PinsOptions(
            feed=feed,
            profile=profile,
            overrides=overrides(curve, carriage, range_, matrix),
            spots=tuple(at or ()),
            frame=frame,
            output=Output.JSON if as_json else Output.TABLE,
        )
        read_chips(options, SystemClock(), sys.stdout)


def pins(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    feed: FeedArgument,
    profile: ProfileOption = None,
    at: PinsOption = None,
    even: Annotated[
        str | None,
        typer.Option(
            "--even", metavar="X,Y,W,H", help="Centre and size of an area that should be even"
        ),
    ] = None,
    frame: FrameOption = 0,
    as_json: JsonOption = False,
    curve: CurveOption = None,
    carriage: CarriageOption = None,
    range_: RangeOption = None,
    matrix: MatrixOption = None,
) -> None:
    """Read pins, their differences as lighting ratios, and how even an area is lit."""
    with guarded():
        from firmware.clock import SystemClock  # noqa: PLC0415 - keeps --help fast
        from firmware.commands.pins import pins as read_pins  # noqa: PLC0415
        from firmware.exposure_options import PinsOptions  # noqa: PLC0415
        from firmware.written.options import Output  # noqa: PLC0415

        options = PinsOptions(
            feed=feed,
            profile=profile,
            overrides=overrides(curve, carriage, range_, matrix),
            spots=tuple(at or ()),
            area=even,
            frame=frame,
            output=Output.JSON if as_json else Output.TABLE,
        )
        read_pins(options, SystemClock(), sys.stdout)


def match(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    a: Annotated[str, typer.Argument(metavar="A", help="Feed of camera A, which stays")],
    b: Annotated[str, typer.Argument(metavar="B", help="Feed of camera B, which is brought to A")],
    at: PinsOption = None,
    at_b: Annotated[
        list[str] | None,
        typer.Option("--at-b", metavar="X,Y[,SIZE]", help="The same pins on B; else as on A"),
    ] = None,
    profile: ProfileOption = None,
    profile_b: Annotated[
        str | None, typer.Option("--profile-b", metavar="P", help="Profile of B; else that of A")
    ] = None,
    curve: CurveOption = None,
    curve_b: Annotated[
        str | None, typer.Option("--curve-b", metavar="NAME", help="Curve of B, over its profile's")
    ] = None,
    dial_b: Annotated[
        str | None, typer.Option("--dial-b", metavar="K", help="What B's balance is dialled to")
    ] = None,
    gamut: GamutOption = None,
    cdl: Annotated[
        Path | None,
        typer.Option("--cdl", metavar="FILE.cc|.cdl", help="Write what remains as an ASC CDL"),
    ] = None,
    frame: FrameOption = 0,
    as_json: JsonOption = False,
) -> None:
    """Say what brings camera B to camera A, pin by pin, and what then remains."""
    with guarded():
        from firmware.clock import SystemClock  # noqa: PLC0415
        from firmware.commands.match import match as match_feeds  # noqa: PLC0415
        from firmware.exposure_options import MatchOptions  # noqa: PLC0415
        from firmware.written.arguments import output_file  # noqa: PLC0415 - keeps --help fast
        from firmware.written.options import Output  # noqa: PLC0415

        ending = ".cc" if cdl is not None and cdl.suffix.lower() == ".cc" else ".cdl"
        options = MatchOptions(
            feed_a=a,
            feed_b=b,
            profile_a=profile,
            profile_b=profile_b,
            overrides_a=overrides(curve, None, None, None),
            overrides_b=overrides(curve_b, None, None, None),
            spots=tuple(at or ()),
            spots_b=tuple(at_b or ()),
            dial_b=dial_b,
            gamut_b=gamut,
            cdl=None if cdl is None else output_file(cdl, ending),
            frame=frame,
            output=Output.JSON if as_json else Output.TABLE,
        )
        match_feeds(options, SystemClock(), sys.stdout)


def watch(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    feed: FeedArgument,
    profile: ProfileOption = None,
    at: PinsOption = None,
    tolerance: Annotated[
        str | None,
        typer.Option("--tolerance", metavar="ST", help='Of the level, as "0.1 st"'),
    ] = None,
    balance: Annotated[
        str | None, typer.Option("--balance", metavar="ST", help="Of red and blue against green")
    ] = None,
    frames: Annotated[
        int | None, typer.Option("--frames", min=1, metavar="N", help="End after N frames")
    ] = None,
    seconds: Annotated[
        float | None, typer.Option("--seconds", min=0.1, metavar="S", help="End after so long")
    ] = None,
    as_json: JsonOption = False,
    curve: CurveOption = None,
    carriage: CarriageOption = None,
    range_: RangeOption = None,
    matrix: MatrixOption = None,
) -> None:
    """Follow pins through a take; say when light drifted, stepped, or something passed."""
    with guarded():
        from firmware.clock import SystemClock  # noqa: PLC0415 - keeps --help fast
        from firmware.commands.watch import watch as watch_feed  # noqa: PLC0415
        from firmware.exposure_options import WatchOptions  # noqa: PLC0415
        from firmware.written.options import Output  # noqa: PLC0415

        options = WatchOptions(
            feed=feed,
            profile=profile,
            overrides=overrides(curve, carriage, range_, matrix),
            spots=tuple(at or ()),
            level=tolerance,
            balance=balance,
            frames=frames,
            seconds=seconds,
            output=Output.JSON if as_json else Output.TABLE,
        )
        watch_feed(options, SystemClock(), sys.stdout)


COMMANDS = (expose, chips, pins, match, watch)
