"""The command line. It only reads options; what a command needs is imported when it runs."""

import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from firmware.cli_colour import balance, chart
from firmware.cli_exposure import COMMANDS as EXPOSURE_COMMANDS
from firmware.cli_options import (
    FEED_HELP,
    CarriageOption,
    CurveOption,
    MatrixOption,
    ProfileOption,
    RangeOption,
    overrides,
)
from firmware.commands.guard import guarded
from firmware.system.start_up import collection_held

app = typer.Typer(
    name="midgrey",
    help="Exposure and colour checker for a camera feed. Without a command: run.",
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)
profiles_app = typer.Typer(help="List, explain and check profiles.", rich_markup_mode=None)
app.add_typer(profiles_app, name="profiles")


@app.callback(invoke_without_command=True)
def default(
    context: typer.Context,
    *,
    version: Annotated[bool, typer.Option("--version", help="Print the version and end")] = False,
) -> None:
    """Run on the first feed found, else on the bench, where no command is given."""
    if version:
        from importlib.metadata import version as installed  # noqa: PLC0415 - keeps --help fast

        typer.echo(f"midgrey {installed('midgrey')}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        run()


@app.command()
def run(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    feed: Annotated[str | None, typer.Argument(metavar="FEED", help=FEED_HELP)] = None,
    profile: ProfileOption = None,
    size: Annotated[
        str | None, typer.Option("--size", metavar="WxH", help="Size of the window, as 1280x720")
    ] = None,
    frames: Annotated[
        int | None, typer.Option("--frames", min=1, metavar="N", help="End after N frames")
    ] = None,
    view: Annotated[
        str | None,
        typer.Option("--view", metavar="V", help="As expose, advice, watch"),
    ] = None,
    screenshot: Annotated[
        Path | None, typer.Option("--screenshot", metavar="FILE.png", help="Keep the last screen")
    ] = None,
    stats: Annotated[
        Path | None, typer.Option("--stats", metavar="FILE.json", help="Keep counts and times")
    ] = None,
    rotate: Annotated[
        int | None,
        typer.Option(
            "--rotate",
            metavar="DEGREES",
            help="Turn the picture clockwise by 90, 180 or 270, for a panel that is mounted turned",
        ),
    ] = None,
    curve: CurveOption = None,
    carriage: CarriageOption = None,
    range_: RangeOption = None,
    matrix: MatrixOption = None,
) -> None:
    """Watch a feed: picture, stripes, trace and readings; in the terminal without a display."""
    with guarded(), collection_held():
        # Imported here for --help, which needs none of it.
        from firmware.clock import SystemClock  # noqa: PLC0415
        from firmware.commands.run import run as run_feed  # noqa: PLC0415
        from firmware.written.arguments import output_file, parse_size, rotation_asked  # noqa: PLC0415
        from firmware.written.options import RunOptions  # noqa: PLC0415

        options = RunOptions(
            feed=feed,
            profile=profile,
            overrides=overrides(curve, carriage, range_, matrix),
            size=None if size is None else parse_size(size),
            frames=frames,
            view=view,
            screenshot=None if screenshot is None else output_file(screenshot, ".png"),
            stats=None if stats is None else output_file(stats, ".json"),
            rotation=rotation_asked(rotate, os.environ),
        )
        status = run_feed(options, SystemClock(), os.environ, sys.stdout, sys.stderr)
    if status:
        raise typer.Exit(status)


@app.command()
def read(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    feed: Annotated[str, typer.Argument(metavar="FEED", help=FEED_HELP)],
    profile: ProfileOption = None,
    at: Annotated[
        list[str] | None,
        typer.Option(
            "--at",
            metavar="X,Y[,SIZE]",
            help="Centre of a spot: pixels, or shares of width and height with a decimal point; "
            "as often as wanted",
        ),
    ] = None,
    frame: Annotated[int, typer.Option("--frame", min=0, metavar="N", help="Frame, from 0")] = 0,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object, schema 1")] = False,
    curve: CurveOption = None,
    carriage: CarriageOption = None,
    range_: RangeOption = None,
    matrix: MatrixOption = None,
) -> None:
    """Read spots of one frame: stops, percent and what they are worth."""
    with guarded():
        from firmware.clock import SystemClock  # noqa: PLC0415 - keeps --help fast
        from firmware.commands.read import read as read_feed  # noqa: PLC0415
        from firmware.written.options import Output, ReadOptions  # noqa: PLC0415

        options = ReadOptions(
            feed=feed,
            profile=profile,
            overrides=overrides(curve, carriage, range_, matrix),
            spots=tuple(at or ()),
            frame=frame,
            output=Output.JSON if as_json else Output.TABLE,
        )
        read_feed(options, SystemClock(), sys.stdout)


app.command()(balance)
app.command()(chart)
for command in EXPOSURE_COMMANDS:
    app.command()(command)


@profiles_app.callback(invoke_without_command=True)
def profiles(
    context: typer.Context,
    *,
    curves: Annotated[bool, typer.Option("--curves", help="List the published curves")] = False,
) -> None:
    """List the profiles that ship, or the published curves."""
    if context.invoked_subcommand is not None:
        return
    with guarded():
        from firmware.commands.profiles import list_curves, list_profiles  # noqa: PLC0415

        (list_curves if curves else list_profiles)(sys.stdout)


@profiles_app.command("check")
def profiles_check(
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Profiles to check")],
) -> None:
    """Check profiles; every mistake of every file is listed."""
    with guarded():
        from firmware.commands.profiles import check_profiles  # noqa: PLC0415 - for --help

        check_profiles(files, sys.stdout)


@app.command()
def doctor(
    *,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object, schema 1")] = False,
) -> None:
    """Say what is attached, what works, what is missing and how to get it; and if all is well."""
    with guarded():
        from firmware.clock import SystemClock  # noqa: PLC0415 - keeps --help fast
        from firmware.commands.doctor import doctor as examine  # noqa: PLC0415
        from firmware.written.options import Output  # noqa: PLC0415

        output = Output.JSON if as_json else Output.TABLE
        examine(os.environ, SystemClock(), sys.stdout, output)


def main() -> None:
    """Run the command line."""
    for stream in (sys.stdout, sys.stderr):
        # A sign the terminal cannot show becomes "?" instead of ending the reading.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    with guarded():
        app()
