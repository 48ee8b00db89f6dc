"""`midgrey presets`: which presets there are, which one a unit starts with, and what is wrong."""

import os
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TextIO

from rich import box
from rich.console import Console
from rich.table import Table

from firmware.commands.own import PresetsOptions
from firmware.errors import PresetError
from firmware.presets.model import Preset
from firmware.presets.reader import read_preset
from firmware.presets.shelf import chosen_file, folders_of, look_in
from firmware.written.declared import Command

USUAL = (Path("/boot/firmware/midgrey"), Path("/boot/midgrey"))
"""Where a unit looks: the boot partition, on releases before bookworm at another place."""


def main(_command: Command, options: PresetsOptions) -> None:
    """List and check presets on standard output."""
    list_presets(options.folder or folder_of(os.environ), sys.stdout)


def folder_of(environ: Mapping[str, str]) -> Path:
    """The folder a unit would take."""
    folders = folders_of(environ) or USUAL
    return next((each for each in folders if each.is_dir()), folders[0])


def list_presets(folder: Path, out: TextIO) -> None:
    """Print what each right preset says, and which one is started with.

    Raises
    ------
    PresetError
        Any has a mistake; the message lists all of all files, one a line.
    """
    if not folder.is_dir():
        raise PresetError(f"{folder}: there is no such folder; name the one with the presets")
    shelf, mistakes, chosen = look_in(folder), [], None
    try:
        chosen = chosen_file(shelf, folder)
    except PresetError as fault:
        mistakes += str(fault).splitlines()
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for heading in ("starts", "name", "title", "view", "profile", "target", "lock"):
        table.add_column(heading, no_wrap=heading != "title")
    for path in shelf.files.values():
        try:
            table.add_row("*" if path == chosen else "", *_row(read_preset(path)))
        except PresetError as fault:
            mistakes += str(fault).splitlines()
    if not shelf.files:
        print(f"No presets in {folder}.", file=out)
    elif table.row_count:
        Console(file=out, highlight=False).print(table)
    if mistakes:
        out.flush()
        raise PresetError("\n".join(dict.fromkeys(mistakes)))


def _row(preset: Preset) -> tuple[str, ...]:
    asked = {key: str(value) for key, value in preset.asked}
    target = "" if preset.target is None else str(preset.target)
    lock = "none"
    if preset.lock is not None:
        allowed = ", ".join(sorted(each.value for each in preset.lock.allows)) or "nothing"
        lock = f"allows {allowed}"
    reads = asked.get("profile") or asked.get("curve", "")
    return preset.name, preset.title, asked.get("view", ""), reads, target, lock
