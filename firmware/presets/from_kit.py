"""A preset that came from the kit: through the presets' own door, as far as a kit may reach.

What was taken is kept beside the unit's settings, so that it holds after a restart out of reach of
any broker; it goes over the unit's own preset.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from firmware.errors import PresetError, ProfileError
from firmware.kit.settings import PRESET_KEYS
from firmware.presets.reader import checked
from firmware.profiles.toml_text import parse_toml, read_text
from firmware.system.files import read_small, reason_of, save
from overlays.signal.quantities import Level
from overlays.wording.read_number import short

FILE = "kit-preset.json"
LARGEST_BYTES = 20_000
MOST_SAID = 3
"""Mistakes that one sentence names."""


@dataclass(frozen=True, slots=True)
class KitGiven:
    """What a kit's preset says; None leaves it as it is.

    Attributes
    ----------
    title:
        What it is for a person; empty where it does not say.
    view, profile:
        By name.
    target, within_stops:
        Where the spot should be and what still counts as there.
    """

    title: str = ""
    view: str | None = None
    profile: str | None = None
    target: Level | None = None
    within_stops: float | None = None


@dataclass(frozen=True, slots=True)
class KitKept:
    """What was taken so far.

    Attributes
    ----------
    id:
        Of the last one; empty for none.
    keys:
        Of all since one had none, the newest of each.
    """

    id: str = ""
    keys: dict[str, Any] = field(default_factory=dict)


Words = Annotated[str, Field(max_length=400)]


class _File(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)
    id: Annotated[str, Field(pattern=r"^[0-9a-f]{32,64}$")]
    keys: Annotated[dict[Words, Words], Field(max_length=len(PRESET_KEYS))]


def understood(keys: Mapping[str, Any]) -> KitGiven:
    """What the keys of a kit's preset mean on this unit.

    Raises
    ------
    PresetError
        They set what is no kit's to set, or are wrong as in a preset's file: one sentence.
    """
    if others := [key for key in keys if key not in PRESET_KEYS]:
        raise PresetError(
            f"{short(others[0])} is each unit's own and stays; a kit sets {', '.join(PRESET_KEYS)}"
        )
    named = keys.get("profile")
    # Before anybody looks for it: what comes from elsewhere opens no file by its path.
    if isinstance(named, str) and ("/" in named or named.lower().endswith(".toml")):
        raise PresetError("profile: a kit names a profile that the unit has, never a file")
    document, problems = checked(keys)
    if document is None or problems:
        said = [f"{each.path}: {each.what}" for each in problems]
        more = len(said) - MOST_SAID
        rest = [f"and {more} more"] if more > 0 else []
        raise PresetError("; ".join([*said[:MOST_SAID], *rest]).replace("\n", "; "))
    return KitGiven(
        document.title or "",
        document.view,
        document.profile,
        document.target,
        document.target_within,
    )


def read_keys(path: Path) -> dict[str, str]:
    """The keys of a file that a kit is to be set by; raises `PresetError` where one is wrong."""
    try:
        parsed = parse_toml(read_text(path, "preset"), path)
    except ProfileError as fault:
        raise PresetError(str(fault)) from fault
    if parsed.twice:
        line, words = parsed.twice[0]
        raise PresetError(f"{path}:{line}: {words}")
    try:
        understood(parsed.raw)
    except PresetError as fault:
        raise PresetError(f"{path}: {fault}") from fault
    return {key: str(value) for key, value in parsed.raw.items()}


def read_taken(path: Path) -> KitKept:
    """What was taken before; nothing where there is no such file.

    Raises
    ------
    PresetError
        The file is damaged.
    """
    try:
        found = _File.model_validate_json(read_small(path, LARGEST_BYTES))
    except FileNotFoundError:
        return KitKept()
    except OSError as fault:
        raise PresetError(f"{path}: cannot be read ({reason_of(fault)})") from fault
    except ValidationError:
        raise PresetError(f"{path}: is damaged; the kit's preset is taken anew") from None
    return KitKept(found.id, dict(found.keys))


def keep_taken(path: Path, kept: KitKept) -> None:
    """Keep it, whole or not at all; raises `OSError` where the card takes nothing."""
    save(path, json.dumps({"id": kept.id, "keys": kept.keys}).encode())
