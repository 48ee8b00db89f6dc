"""The commands about colour: `balance` and `chart`."""

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


def balance(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    feed: Annotated[str, typer.Argument(metavar="FEED", help=FEED_HELP)],
    profile: ProfileOption = None,
    at: Annotated[
        str | None,
        typer.Option("--at", metavar="X,Y[,SIZE]", help="Spot on a white or grey card"),
    ] = None,
    dial: Annotated[
        str | None, typer.Option("--dial", metavar="K", help="What the camera is set to, in kelvin")
    ] = None,
    tint: Annotated[
        str | None,
        typer.Option("--tint", metavar="T", help="Its tint, in thousandths of Duv; usually 0"),
    ] = None,
    gamut: GamutOption = None,
    frame: Annotated[int, typer.Option("--frame", min=0, metavar="N", help="Frame, from 0")] = 0,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object, schema 1")] = False,
    curve: CurveOption = None,
    carriage: CarriageOption = None,
    range_: RangeOption = None,
    matrix: MatrixOption = None,
) -> None:
    """Read the balance off a neutral card: what to dial, how much tint, which filter."""
    with guarded():
        from firmware.clock import SystemClock  # noqa: PLC0415 - keeps --help fast
        from firmware.commands.balance import balance as read_balance  # noqa: PLC0415
        from firmware.written.options import BalanceOptions, Output  # noqa: PLC0415

        options = BalanceOptions(
            feed=feed,
            profile=profile,
            overrides=overrides(curve, carriage, range_, matrix),
            spot=at,
            gamut=gamut,
            dial=dial,
            tint=tint,
            frame=frame,
            output=Output.JSON if as_json else Output.TABLE,
        )
        read_balance(options, SystemClock(), sys.stdout)


def chart(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    feed: Annotated[str, typer.Argument(metavar="FEED", help=FEED_HELP)],
    profile: ProfileOption = None,
    corners: Annotated[
        str | None,
        typer.Option(
            "--corners",
            metavar="X,Y,X,Y,X,Y,X,Y",
            help="Outer corners of its four corner patches, in any order; else it is looked for",
        ),
    ] = None,
    reference: Annotated[
        Path | None,
        typer.Option("--reference", metavar="FILE", help="CGATS.17 / ISO 28178 text of the chart"),
    ] = None,
    layout: Annotated[
        str | None, typer.Option("--layout", metavar="CxR", help="Patches across and down, as 6x4")
    ] = None,
    gamut: GamutOption = None,
    scale: Annotated[
        str,
        typer.Option("--scale", metavar="neutrals|exposure", help="What of the greys to even out"),
    ] = "neutrals",
    against: Annotated[
        str | None, typer.Option("--against", metavar="FEED", help="The chart under another look")
    ] = None,
    against_profile: Annotated[
        str | None, typer.Option("--against-profile", metavar="P", help="Profile of that look")
    ] = None,
    picture: Annotated[
        Path | None, typer.Option("--picture", metavar="FILE.png", help="Draw it as a picture")
    ] = None,
    frame: Annotated[int, typer.Option("--frame", min=0, metavar="N", help="Frame, from 0")] = 0,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object, schema 1")] = False,
    curve: CurveOption = None,
    carriage: CarriageOption = None,
    range_: RangeOption = None,
    matrix: MatrixOption = None,
) -> None:
    """Read a colour chart patch by patch, or compare two looks on it."""
    with guarded():
        from firmware.clock import SystemClock  # noqa: PLC0415
        from firmware.commands.chart import chart as read_chart  # noqa: PLC0415
        from firmware.written.arguments import output_file  # noqa: PLC0415 - keeps --help fast
        from firmware.written.options import ChartOptions, Output  # noqa: PLC0415

        options = ChartOptions(
            feed=feed,
            profile=profile,
            overrides=overrides(curve, carriage, range_, matrix),
            corners=corners,
            reference=reference,
            layout=layout,
            gamut=gamut,
            scaling=scale,
            against=against,
            against_profile=against_profile,
            picture=None if picture is None else output_file(picture, ".png"),
            frame=frame,
            output=Output.JSON if as_json else Output.TABLE,
        )
        read_chart(options, SystemClock(), sys.stdout)
