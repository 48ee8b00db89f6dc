"""`midgrey doctor`: what is attached, what works, what is missing and how to get it."""

import importlib.metadata
import json
import os
import platform
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import TextIO

from rich import box
from rich.console import Console
from rich.table import Table

from firmware.answers.cleaner import enveloped
from firmware.clock import Clock, SystemClock
from firmware.errors import ArgumentError, CheckedFileError
from firmware.health.asked_once import conditions
from firmware.health.camera_modes import fit_in_words
from firmware.health.condition import Severity
from firmware.screen.find_display import find_display
from firmware.system.kernel_cache import writable_folder
from firmware.update.places import RELEASE_VARIABLE
from firmware.written.declared import Command
from firmware.written.options import JsonOption

TYPE = "fontpkg-ibm-plex-sans-condensed"
"""The typeface of the screen; without it pygame's own stands in."""

LIBRARIES = ("numpy", "numba", "av", "pygame", "pydantic", "rich", "typer", "gpiozero", TYPE)
OWN_PINS = "etc/midgrey/pins.toml"
MANIFESTS = ("boot/firmware/midgrey/manifest.txt", "boot/midgrey/manifest.txt")
"""As hardware/card/build writes it: every package with its version, licence and hash."""


class Finding(Enum):
    """What came of a check; the value is what the table says."""

    WORKS = "works"
    MISSING = "missing"
    NOTE = "note"
    FAULT = "fault"
    """It is there, but something has to be done about it."""


_FINDINGS = {
    Severity.FINE: Finding.WORKS,
    Severity.UNKNOWN: Finding.NOTE,
    Severity.NOTE: Finding.NOTE,
    Severity.WARNING: Finding.FAULT,
    Severity.ALARM: Finding.FAULT,
}


@dataclass(frozen=True, slots=True)
class Check:
    """One line of the report."""

    what: str
    finding: Finding
    detail: str
    remedy: str = ""


@dataclass(frozen=True, slots=True)
class DoctorObject:
    """The object of `doctor --json`."""

    checks: tuple[Check, ...]


def examine(environ: Mapping[str, str], clock: Clock, root: Path = Path("/")) -> list[Check]:
    """Look at everything; `root` is the file system to look in."""
    return [
        _version(environ, root),
        _python(),
        _modes(root),
        *(_library(name) for name in LIBRARIES),
        _display(environ, root),
        *_inputs(root),
        *_gpio(root),
        *_own_pins(root),
        *_feed_checks(environ),
        _cache(environ),
        *_health(environ, clock, root),
    ]


def main(_command: Command, options: JsonOption) -> None:
    """Examine this machine, on standard output."""
    doctor(os.environ, SystemClock(), sys.stdout, as_json=options.json)


def doctor(
    environ: Mapping[str, str],
    clock: Clock,
    out: TextIO,
    *,
    as_json: bool = False,
    root: Path = Path("/"),
) -> None:
    """Print the report, for a person or as one object."""
    found = DoctorObject(tuple(examine(environ, clock, root)))
    if as_json:
        print(json.dumps(enveloped(found), indent=2), file=out)
        return
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("what", no_wrap=True)
    table.add_column("", no_wrap=True)
    table.add_column("found, and what to do", overflow="fold")  # a path is told whole
    for check in found.checks:
        told = f"{check.detail}; {check.remedy}" if check.remedy else check.detail
        style = "bold" if check.finding in {Finding.MISSING, Finding.FAULT} else ""
        table.add_row(check.what, check.finding.value, told, style=style)
    Console(file=out, highlight=False, markup=False).print(table)


def _health(environ: Mapping[str, str], clock: Clock, root: Path) -> list[Check]:
    """How the machine itself is: a row each, also where it is well."""
    return [
        Check(each.subject.value, _FINDINGS[each.severity], each.words, each.remedy)
        for each in conditions(environ, clock.now_ns(), root)
    ]


def _version(environ: Mapping[str, str], root: Path) -> Check:
    """Which version this is, and where the list of all that a card brings lies."""
    try:
        number = importlib.metadata.version("midgrey")
    except importlib.metadata.PackageNotFoundError:  # not installed but run from its folder
        number = "of a folder, not installed"
    release = Path(environ.get(RELEASE_VARIABLE, "")).name
    listed = [path for path in MANIFESTS if (root / path).is_file()]
    card = f"; what else is on its card stands in /{listed[0]}" if listed else ""
    return Check("midgrey", Finding.WORKS, f"{release or number}{card}")


def _python() -> Check:
    return Check("Python", Finding.WORKS, f"{platform.python_version()}, {platform.machine()}")


def _modes(root: Path) -> Check:
    """Which modes of a camera this processor keeps up with."""
    all_fit, words = fit_in_words(root)
    if all_fit:
        return Check("modes", Finding.WORKS, words)
    remedy = (
        "what is too fast is measured and shown a whole frame at a time with others passed over in "
        "between, counted and said; set the camera to a mode that fits to have every one"
    )
    return Check("modes", Finding.NOTE, words, "" if all_fit is None else remedy)


def _library(name: str) -> Check:
    try:
        return Check(name, Finding.WORKS, importlib.metadata.version(name))
    except importlib.metadata.PackageNotFoundError:
        return Check(name, Finding.MISSING, "not installed", f"python -m pip install {name}")


def _display(environ: Mapping[str, str], root: Path) -> Check:
    display = find_display(environ, root)
    if display.node is not None and not os.access(root / display.node.relative_to("/"), os.W_OK):
        remedy = "this user may not draw on it: sudo adduser $USER video, then log in again"
        return Check("display", Finding.MISSING, display.reason, remedy)
    if display.shows:
        return Check("display", Finding.WORKS, f"{display.reason}, drawn by {display.driver.value}")
    return Check(
        "display",
        Finding.MISSING,
        display.reason,
        "plug a screen in before starting, or start in a desktop session; without one, readings "
        "go to the terminal",
    )


def _inputs(root: Path) -> list[Check]:
    found = []
    for folder in sorted((root / "sys/class/video4linux").glob("video*")):
        device = root / "dev" / folder.name
        found.append(_input(device, f"/dev/{folder.name}", _first_line(folder / "name")))
    if found:
        return found
    return [
        Check(
            "video input",
            Finding.MISSING,
            "no V4L2 device",
            "plug an HDMI grabber in, or enable the capture board (hardware/); the bench, footage "
            "and stills need none",
        )
    ]


def _input(device: Path, shown: str, name: str) -> Check:
    if not device.exists():
        remedy = "the kernel knows it but there is no node: replug it, or look at the udev rules"
        return Check(shown, Finding.MISSING, name, remedy)
    if not os.access(device, os.R_OK | os.W_OK):
        remedy = "this user may not open it: sudo adduser $USER video, then log in again"
        return Check(shown, Finding.MISSING, name, remedy)
    return Check(shown, Finding.WORKS, name)


def _first_line(path: Path) -> str:
    try:
        return path.read_text(errors="replace").strip().splitlines()[0]
    except (OSError, IndexError):
        return "without a name"


def _gpio(root: Path) -> list[Check]:
    chips = sorted((root / "dev").glob("gpiochip*"))
    if not chips:
        return [
            Check(
                "GPIO",
                Finding.NOTE,
                "no GPIO on this machine",
                "buttons and lamp need a Raspberry Pi; the keyboard does everything too",
            )
        ]
    names = ", ".join(chip.name for chip in chips)
    if not any(os.access(chip, os.R_OK | os.W_OK) for chip in chips):
        remedy = "this user may not open it: sudo adduser $USER gpio, then log in again"
        return [Check("GPIO", Finding.MISSING, names, remedy)]
    try:
        importlib.metadata.version("lgpio")
    except importlib.metadata.PackageNotFoundError:
        remedy = "sudo apt install python3-lgpio, or python -m pip install lgpio"
        return [Check("GPIO", Finding.MISSING, f"{names}, but lgpio is not installed", remedy)]
    return [Check("GPIO", Finding.WORKS, names)]


def _own_pins(root: Path) -> list[Check]:
    """A pin map of one's own, where there is one."""
    path = root / OWN_PINS
    if not path.is_file():
        return []
    # The reader needs libraries, and the doctor has to work where they are missing.
    from firmware.controls.gpio_map import read_pins  # noqa: PLC0415

    try:
        read_pins(path)
    except ArgumentError as fault:
        return [Check("pin map", Finding.MISSING, str(fault), "mend it, or take it away")]
    return [Check("pin map", Finding.WORKS, f"/{OWN_PINS}")]


def _feed_checks(environ: Mapping[str, str]) -> list[Check]:
    """Every capture device whose range was checked, with the day."""
    try:
        # Reads what libraries define, and the doctor has to work where they are missing.
        from firmware.feeds.checked import checked_devices  # noqa: PLC0415
    except ImportError:
        return []
    try:
        known = checked_devices(environ)
    except CheckedFileError as fault:
        return [Check("feed check", Finding.FAULT, str(fault))]
    out = []
    for device, each in known.items():
        said = [word.value for word in (each.signal.range, each.signal.matrix) if word is not None]
        out.append(
            Check("feed check", Finding.WORKS, f"{device}: {', '.join(said)}, checked {each.date}")
        )
    return out


def _cache(environ: Mapping[str, str]) -> Check:
    folder = writable_folder(environ)
    if folder is None:
        return Check(
            "kernel cache",
            Finding.MISSING,
            "no folder to keep compiled kernels in",
            "set NUMBA_CACHE_DIR to a folder this user may write; without it every start compiles "
            "anew or fails",
        )
    return Check("kernel cache", Finding.WORKS, str(folder))
