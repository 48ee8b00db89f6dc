"""Writes a profile of one's own from what was found of a camera."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from firmware.errors import ProfileError
from firmware.profiles.reader import read_profile
from firmware.system.files import save, unsaved
from overlays.measure.counting.bands import Band, BandKind
from overlays.signal.levels import Carriage
from overlays.signal.quantities import Level
from overlays.signal.signal import SignalOverride


@dataclass(frozen=True, slots=True)
class Made:
    """What is to stand in a profile.

    Attributes
    ----------
    title, notes:
        For a person.
    curve:
        Its published name, or the keys of a table of its own.
    carriage:
        How it lies on codes.
    signal:
        Range and matrix; what is None is left to the feed.
    clip, floor:
        Levels; None takes the curve's own.
    stripes:
        As in another profile.
    """

    title: str
    notes: str
    curve: str | Mapping[str, object]
    carriage: Carriage
    signal: SignalOverride = field(default_factory=SignalOverride)
    clip: Level | None = None
    floor: Level | None = None
    stripes: tuple[Band, ...] = ()


def made_text(made: Made) -> str:
    """The profile as TOML."""
    lines = [f"title = {json.dumps(made.title)}", f"notes = {json.dumps(made.notes)}"]
    if isinstance(made.curve, str):
        lines.append(f"curve = {json.dumps(made.curve)}")
    lines.append(f'carriage = "{made.carriage.value}"')
    for key, level in (("clip", made.clip), ("floor", made.floor)):
        if level is not None:
            lines.append(f'{key} = "{level}"')
    if made.stripes:
        lines += ["stripes = [", *(f"    {_stripe(band)}," for band in made.stripes), "]"]
    if not isinstance(made.curve, str):
        lines += ["", "[curve]", *(f"{k} = {_value(v)}" for k, v in made.curve.items())]
    if made.signal != SignalOverride():
        lines += ["", "[signal]"]
    if made.signal.range is not None:
        lines.append(f'range = "{made.signal.range.value}"')
    if made.signal.matrix is not None:
        lines.append(f'matrix = "{made.signal.matrix.value}"')
    return "\n".join(lines) + "\n"


def write_profile(made: Made, path: Path) -> str:
    """Write it and read it back; says so in one sentence without a full stop.

    Raises
    ------
    ProfileError
        It cannot be written, or would have a mistake.
    """
    try:
        save(path, made_text(made).encode())
    except OSError as fault:
        raise ProfileError(unsaved(path, "profile", fault)) from fault
    read_profile(path)
    return f"the profile is written in {path}"


def _stripe(band: Band) -> str:
    if band.kind is BandKind.AROUND:
        return f'{{at = "{band.at}", within = "{str(band.within).lstrip("+")}"}}'
    return f'{{{band.kind.value} = "{band.at}"}}'


def _value(value: object) -> str:
    if isinstance(value, float):
        return f"{value!r}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(_value(each) for each in value)}]"
    return json.dumps(value)
