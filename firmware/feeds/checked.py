"""What feed checks found of capture devices: range and matrix by the device, with the date.

One file of TOML, a table a device, beside the profiles of one's own: ``~/.config/midgrey`` or where
the XDG Base Directory Specification 0.8 puts that, and ``/etc/midgrey`` for an appliance.
"""

import json
import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from firmware.errors import ArgumentError, CheckedFileError
from firmware.system.files import save, unsaved
from firmware.written.folders import own_settings
from firmware.written.spelling import choice
from overlays.signal.signal import Matrix, Range, SignalOverride

FILE = "feeds.toml"
LARGEST_BYTES = 200_000
NO_DATE = "a day that is not known"


@dataclass(frozen=True, slots=True)
class Checked:
    """What a feed check found of a device.

    Attributes
    ----------
    signal:
        Range, and matrix where a patch decided it.
    date:
        Of the check, as 2026-11-27; or that it is not known.
    """

    signal: SignalOverride
    date: str


def checked_devices(environ: Mapping[str, str] = os.environ) -> dict[str, Checked]:
    """Every device that was checked, by its identity; of two files the more particular one counts.

    Raises
    ------
    CheckedFileError
        A file is there and cannot be understood.
    """
    found: dict[str, Checked] = {}
    for folder in own_settings(environ):
        for name, each in _read(folder / FILE).items():
            found.setdefault(name, each)
    return found


def checked_device(identity: str, environ: Mapping[str, str] = os.environ) -> Checked | None:
    """What was found of one; None where it was never checked or the file cannot be understood."""
    try:
        return checked_devices(environ).get(identity)
    except CheckedFileError:
        return None  # `doctor` says so; a feed is read as if nothing were known of it


def keep_checked(identity: str, checked: Checked, environ: Mapping[str, str] = os.environ) -> Path:
    """Keep what was found of a device, over what was known of it; answers with the file.

    Raises
    ------
    CheckedFileError
        The file cannot be written, or what stands in it cannot be understood.
    """
    folders = own_settings(environ)
    path = folders[0] / FILE
    every = {**_read(path), identity: checked}
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        save(path, _text(every).encode())
    except OSError as fault:
        raise CheckedFileError(unsaved(path, "feed check", fault)) from fault
    return path


def _text(every: Mapping[str, Checked]) -> str:
    lines = ["# What midgrey feedcheck found of capture devices. A table goes away by deleting it."]
    for name, each in sorted(every.items()):
        lines += ["", f"[{json.dumps(name)}]"]
        if each.signal.range is not None:
            lines.append(f'range = "{each.signal.range.value}"')
        if each.signal.matrix is not None:
            lines.append(f'matrix = "{each.signal.matrix.value}"')
        lines.append(f"checked = {json.dumps(each.date)}")
    return "\n".join(lines) + "\n"


def _read(path: Path) -> dict[str, Checked]:
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_BYTES)
    except OSError:
        return {}  # it is not there, or not for this user
    try:
        tables: dict[str, Any] = tomllib.loads(raw.decode())
        return {name: _checked(name, table) for name, table in tables.items()}
    except (ValueError, RecursionError, ArgumentError) as fault:
        raise CheckedFileError(
            f"{path}: cannot be understood ({fault}); mend it or delete it, then check again"
        ) from fault


def _checked(name: str, table: object) -> Checked:
    if not isinstance(table, dict):
        raise ArgumentError(f"{name} is no table of a device")
    levels, matrix = table.get("range"), table.get("matrix")
    signal = SignalOverride(
        None if levels is None else choice(Range, str(levels), "range"),
        None if matrix is None else choice(Matrix, str(matrix), "matrix"),
    )
    return Checked(signal, str(table.get("checked", NO_DATE)))
