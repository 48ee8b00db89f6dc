"""The commands that are no instrument's, and which module runs each command.

Light, so that ``--help`` is fast: what a command needs is imported when it runs.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, NamedTuple

from firmware.instruments.registry import REGISTRY, Registry
from firmware.written.declared import Argument, Command, Option, options
from firmware.written.options import JsonOption, LineupOptions, RunOptions


@options
class ProfilesOptions:
    """What `midgrey profiles` takes."""

    curves: Annotated[bool, Option("--curves", "", "List the published curves")] = False


@options
class CheckOptions:
    """What `midgrey profiles check` takes."""

    files: Annotated[tuple[Path, ...], Argument("FILE...", "Profiles to check")]


@options
class KeepClipOptions:
    """What `midgrey profiles clip` takes."""

    file: Annotated[Path, Argument("FILE", "The profile, a file of your own")]
    feed: Annotated[str, Argument("FEED", "What shows a lamp that the camera cannot hold")]


@options
class PresetsOptions:
    """What `midgrey presets` takes."""

    folder: Annotated[
        Path | None, Argument("FOLDER", "Where they lie; else where a unit looks for them")
    ] = None


@options
class UnitsOptions(JsonOption):
    """What `midgrey units` takes."""

    preset: Annotated[
        Path | None, Option("--preset", "FILE.toml", "Whose [kit] is meant; else this unit's")
    ] = None
    record: Annotated[
        Path | None,
        Option("--record", "FILE.jsonl", "Keep every mark of all units there, until Ctrl-C"),
    ] = None
    set: Annotated[
        Path | None,
        Option("--set", "FILE.toml", "Set all units so: profile, view, target; empty: back again"),
    ] = None
    only: Annotated[
        str | None, Option("--only", "UNIT,...", "Whom --set is for; else all, now and later")
    ] = None


@options
class NetworkOptions:
    """What `midgrey network` takes."""

    name: Annotated[
        str | None, Option("--name", "NAME", "Of the network; else midgrey and the unit's own")
    ] = None
    device: Annotated[str, Option("--device", "D", "The Wi-Fi device")] = "wlan0"
    close: Annotated[bool, Option("--close", "", "Take the network away again")] = False


@options
class SchemaOptions:
    """What `midgrey schema` takes."""

    command: Annotated[
        str | None, Argument("COMMAND", "The command whose object is meant; else all")
    ] = None


@options
class SelftestOptions:
    """What `midgrey selftest` takes."""

    file: Annotated[
        Path | None, Argument("FILE.zip", "To be written; else midgrey-selftest.zip here")
    ] = None
    feed: Annotated[
        str | None, Option("--feed", "FEED", "What to look at; else the first capture device")
    ] = None
    only: Annotated[str | None, Option("--only", "N,N", "These steps of the checklist alone")] = (
        None
    )
    alone: Annotated[bool, Option("--alone", "", "Ask nobody; what needs eyes is left open")] = (
        False
    )


@options
class UpdateOptions:
    """What `midgrey update` takes."""

    file: Annotated[
        Path | None, Argument("FILE", "A bundle; else say which versions there are")
    ] = None
    back: Annotated[
        bool, Option("--back", "", "Go back to the version before; with FILE: though it is older")
    ] = False
    list: Annotated[bool, Option("--list", "", "Say which versions there are")] = False
    later: Annotated[bool, Option("--later", "", "Start it next time, not at once")] = False
    found: Annotated[
        tuple[Path, ...],
        Option("--found", "FOLDER", "Take the newest bundle there, if it is newer; of units"),
    ] = ()


@options
class JournalFile:
    """Which journal is meant."""

    journal: Annotated[
        Path | None, Option("--journal", "FILE", "The journal; else the usual one")
    ] = None


@options
class VerifyOptions(JournalFile):
    """What `midgrey journal verify` takes."""


@options
class JournalOptions(JournalFile):
    """What `midgrey journal` takes."""

    day: Annotated[
        str | None, Option("--day", "DAY", "Of this day alone, as 2026-11-27; unset: of none")
    ] = None
    csv: Annotated[Path | None, Option("--csv", "FILE.csv", "Every spot as a line")] = None
    json: Annotated[Path | None, Option("--json", "FILE.json", "All but pictures and codes")] = None
    report: Annotated[
        Path | None, Option("--report", "FILE.html", "A page to be read, printed and handed on")
    ] = None
    markers: Annotated[
        Path | None, Option("--markers", "FILE.otio", "Markers with time code (OpenTimelineIO)")
    ] = None
    cdl: Annotated[
        Path | None, Option("--cdl", "FOLDER", "The ASC CDLs of marks in the match view")
    ] = None


RUN = Command(
    "run",
    "Watch a feed: picture, stripes, trace and readings; in the terminal without a display.",
    RunOptions,
)
PROFILES = Command(
    "profiles", "List the profiles that ship, or the published curves.", ProfilesOptions
)
CHECK = Command("check", "Check profiles; every mistake of every file is listed.", CheckOptions)
KEEP_CLIP = Command(
    "clip", "Find where the camera clips and write it in a profile of your own.", KeepClipOptions
)
PRESETS = Command(
    "presets",
    "List presets, and which one a unit starts with; every mistake is listed.",
    PresetsOptions,
)
NETWORK = Command(
    "network",
    "Open a network of the unit's own for a phone (NetworkManager; once, as root).",
    NetworkOptions,
)
UNITS = Command(
    "units",
    "List the units of a kit: reading, verdict, watch, health, age; or keep the marks of all.",
    UnitsOptions,
)
DOCTOR = Command(
    "doctor",
    "Say what is attached, what works, what is missing and how to get it; and if all is well.",
    JsonOption,
)
SELFTEST = Command(
    "selftest",
    "Walk hardware/checklist.md on a board, and write one file to send back.",
    SelftestOptions,
)
LINEUP = Command(
    "lineup", "Line up the panel itself: bars, steps near black, a guide, its light.", LineupOptions
)
UPDATE = Command(
    "update",
    "Take a signed version, go back to the one before, or say which versions there are.",
    UpdateOptions,
)
SCHEMA = Command("schema", "Print the JSON Schema of what --json gives.", SchemaOptions)

JOURNAL = Command(
    "journal", "List what was marked, or hand it over: page, tables, markers.", JournalOptions
)
VERIFY = Command(
    "verify",
    "Recompute every number of every mark from its codes; find what was changed.",
    VerifyOptions,
)


class Wired(NamedTuple):
    """A command, the module whose `main` runs it, and one whose `before` is there sooner."""

    command: Command
    module: str
    first: str = ""


def wired(registry: Registry = REGISTRY) -> Iterator[Wired]:
    """All commands of the first level but the group of profiles."""
    yield Wired(RUN, "firmware.commands.run", "firmware.screen.splash")
    for command in registry.commands():
        yield Wired(command, "firmware.commands.once")
    yield Wired(PRESETS, "firmware.commands.presets")
    yield Wired(NETWORK, "firmware.commands.network")
    yield Wired(UNITS, "firmware.commands.units")
    yield Wired(DOCTOR, "firmware.commands.doctor")
    yield Wired(SELFTEST, "firmware.commands.selftest")
    yield Wired(UPDATE, "firmware.commands.update")
    yield Wired(SCHEMA, "firmware.commands.schema")
    yield Wired(LINEUP, "firmware.commands.lineup")
