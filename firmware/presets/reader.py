"""A preset's file becomes a `Preset`, or one report of everything that is wrong with it."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from firmware.errors import ArgumentError, FirmwareError, PresetError, ProfileError
from firmware.instruments.registry import REGISTRY
from firmware.kit.settings import settings_of
from firmware.opening.overrides import overrides_of
from firmware.opening.profile_choice import asked_profile
from firmware.page.listening import parse_place
from firmware.presets.document import OPTIONS, ChoiceDocument, PresetDocument
from firmware.presets.model import Lock, Preset
from firmware.profiles.key_lines import key_lines, line_of
from firmware.profiles.problems import Problem, problems_of
from firmware.profiles.toml_text import Parsed, parse_toml, read_text
from firmware.screen.rotation import rotation_asked
from firmware.written.options import RunOptions
from overlays.errors import OverlayError

Kind = TypeVar("Kind", bound=BaseModel)


def read_preset(path: Path) -> Preset:
    """The preset of a file.

    Raises
    ------
    PresetError
        It cannot be read or has mistakes: one line for each, with file, line and key.
    """
    parsed = _parsed(path)
    document, problems = checked(parsed.raw)
    if document is None:
        raise _report(path, parsed, problems)
    asked = asked_of(document)
    kit = None
    if document.kit is not None:
        try:
            kit = settings_of(document.kit, path.parent)
        except ArgumentError as fault:
            problems.append(Problem(("kit", "authority"), str(fault)))
    if problems or parsed.twice:
        raise _report(path, parsed, problems)
    return Preset(
        name=path.stem,
        path=path,
        title=document.title or path.stem,
        asked=asked,
        target=document.target,
        within_stops=document.target_within,
        lock=Lock(document.lock_allows, document.lock_code) if document.lock else None,
        page_code=document.page_code,
        page_updates=document.page_updates,
        kit=kit,
    )


def checked(raw: Mapping[str, Any]) -> tuple[PresetDocument | None, list[Problem]]:
    """The keys of a preset as a document, as far as they are understood, and all that is wrong."""
    document, problems = _document(raw, PresetDocument)
    if document is None:
        return None, problems
    options: dict[str, Any] = dict(asked_of(document))
    problems += _against_the_rest(RunOptions(**options))
    if not document.lock:
        problems += [
            Problem((key,), "says what a lock does, and there is none; write lock = true as well")
            for key in ("lock_allows", "lock_code")
            if getattr(document, key)
        ]
    return document, problems


def asked_of(document: PresetDocument) -> tuple[tuple[str, str | int], ...]:
    """Options of `run` that it names, as they are typed."""
    return tuple((key, value) for key in OPTIONS if (value := getattr(document, key)) is not None)


def read_choice(path: Path) -> str:
    """The name of the preset that a file says to start with.

    Raises
    ------
    PresetError
        It cannot be read or has mistakes.
    """
    parsed = _parsed(path)
    document, problems = _document(parsed.raw, ChoiceDocument)
    if document is None or problems or parsed.twice:
        raise _report(path, parsed, problems)
    return document.boot


def _parsed(path: Path) -> Parsed:
    if path.is_symlink():
        # It could lead to whatever the unit can read, and that into a sentence on its screen.
        raise PresetError(f"{path}: is a link; put the file itself there")
    try:
        return parse_toml(read_text(path, "preset"), path)
    except ProfileError as fault:
        raise PresetError(str(fault)) from fault


def _document(raw: Mapping[str, Any], kind: type[Kind]) -> tuple[Kind | None, list[Problem]]:
    """The document, as far as it can be understood, and what cannot."""
    try:
        return kind.model_validate(raw), []
    except ValidationError as error:
        problems = problems_of(error, kind)
    bad = {each.key[0] for each in problems if each.key}
    rest = {key: value for key, value in raw.items() if key not in bad}
    try:
        return kind.model_validate(rest), problems
    except ValidationError:
        return None, problems


def _against_the_rest(options: RunOptions) -> list[Problem]:
    """What views, profiles and curves there are decides whether options can be followed."""
    found = []
    try:
        REGISTRY.view(options.view)
    except FirmwareError as fault:
        found.append(Problem(("view",), str(fault)))
    try:
        rotation_asked(options.rotate, {})
    except FirmwareError as fault:
        found.append(Problem(("rotate",), str(fault)))
    try:
        if options.page is not None:
            parse_place(options.page)
    except FirmwareError as fault:
        found.append(Problem(("page",), str(fault).removeprefix("--page ")))
    for key in ("carriage", "range", "matrix"):
        try:
            overrides_of(RunOptions(**{key: getattr(options, key)}))
        except FirmwareError as fault:
            found.append(Problem((key,), str(fault)))
    for key, alone in (
        ("profile", RunOptions(profile=options.profile)),
        ("curve", RunOptions(curve=options.curve)),
    ):
        try:
            asked_profile(alone.profile, overrides_of(alone))
        except (FirmwareError, OverlayError) as fault:
            found += [Problem((key,), line) for line in str(fault).splitlines()]
    return found


def _report(path: Path, parsed: Parsed, problems: list[Problem]) -> PresetError:
    lines = key_lines(parsed.text)
    found = [(line_of(lines, each.key), f"{each.path}: {each.what}") for each in problems]
    ordered = sorted([*found, *parsed.twice], key=lambda each: each[0] or 0)
    report = [f"{path}:{line}: {what}" if line else f"{path}: {what}" for line, what in ordered]
    return PresetError("\n".join(dict.fromkeys(report)))
