"""`midgrey profiles`: what ships, which curves are known, and whether a file is right."""

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TextIO

from rich import box
from rich.console import Console
from rich.table import Table

from firmware.clock import Clock, SystemClock
from firmware.commands.own import CheckOptions, KeepClipOptions, ProfilesOptions
from firmware.errors import ProfileError
from firmware.profiles.shelf import check_files, own_folders, own_profiles, shipped_profiles
from firmware.written.declared import Command
from overlays.signal.published import published_curves


def main(_command: Command, options: ProfilesOptions | CheckOptions | KeepClipOptions) -> None:
    """List, check or keep the clip, on standard output."""
    if isinstance(options, CheckOptions):
        check_profiles(options.files, sys.stdout)
    elif isinstance(options, KeepClipOptions):
        write_clip(options, SystemClock(), sys.stdout)
    elif options.curves:
        list_curves(sys.stdout)
    else:
        list_profiles(sys.stdout)


def list_profiles(out: TextIO) -> None:
    """Print the profiles that ship and one's own, and where those lie."""
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for heading in ("name", "title", "curve", "carriage", "target"):
        table.add_column(heading, no_wrap=heading != "title")
    own = own_profiles()
    for profile in (*shipped_profiles(), *own.profiles):
        table.add_row(
            profile.name,
            profile.title,
            profile.curve.name,
            profile.laid.value,
            str(profile.target),
        )
    _console(out).print(table)
    for fault in own.faults:
        print(f"Note: {fault}.", file=out)
    print("Your own are looked for in", file=out)
    for folder in own_folders():
        print(f"  {folder}", file=out)


def list_curves(out: TextIO) -> None:
    """Print every published curve with its carriage and source."""
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("curve", no_wrap=True)
    table.add_column("carriage", no_wrap=True)
    table.add_column("source")
    for curve in published_curves():
        stated = "" if curve.carriage_stated else " *"
        table.add_row(curve.name, f"{curve.carriage.value}{stated}", curve.source)
    console = _console(out)
    console.print(table)
    console.print(
        "* The publication does not say how the curve lies on video codes: a known black or grey "
        "frame decides; give --carriage or write it in the profile."
    )


def check_profiles(paths: Sequence[Path], out: TextIO) -> None:
    """Print what each right profile says.

    Raises
    ------
    ProfileError
        Any has a mistake; the message lists all of all files, one a line.
    """
    profiles, mistakes = check_files(paths)
    for profile in profiles:
        stripes = ", ".join(str(band) for band in profile.stripes) or "none"
        print(
            f"{profile.source_path}: reads well; {profile.curve.name}, carriage "
            f"{profile.laid.value}, target {profile.target}, stripes: {stripes}",
            file=out,
        )
    if mistakes:
        out.flush()
        raise ProfileError("\n".join(mistakes))


def write_clip(options: KeepClipOptions, clock: Clock, out: TextIO) -> None:
    """Find the camera's clip in one frame and write it in the profile; one sentence.

    Raises
    ------
    FirmwareError, OverlayError, OSError
        Feed or profile cannot be had, no clip is found, or the file is none to be changed.
    """
    # Not for the list, which need not wait for kernels.
    from firmware.instruments.asking import Opener, Wanted  # noqa: PLC0415
    from firmware.profiles.keep_clip import keep_clip  # noqa: PLC0415

    with Opener(clock).scene(Wanted(options.feed, str(options.file))) as scene:
        top = scene.yard.flat_top
        said = keep_clip(scene.profile, top)
    print(f"{said}.", file=out)


def _console(out: TextIO) -> Console:
    return Console(file=out, highlight=False)
