"""A profile's file becomes a `Profile`, or one report of everything that is wrong with it."""

from pathlib import Path
from typing import Any

from pydantic import ValidationError

from firmware.errors import ProfileError
from firmware.profiles.controls_check import control_problems
from firmware.profiles.cube_file import with_cube
from firmware.profiles.document import Document
from firmware.profiles.key_lines import key_lines, line_of
from firmware.profiles.model import USUAL_SPECK_PERCENT, USUAL_SPOT_PERCENT, Profile
from firmware.profiles.problems import Problem, problems_of
from firmware.profiles.reasonable import level_problems
from firmware.profiles.toml_text import parse_toml, read_text
from overlays.errors import CubeError
from overlays.measure.expose.side import USUAL_WITHIN_STOPS
from overlays.signal.quantities import stops
from overlays.signal.signal import SignalOverride


def read_profile(path: Path) -> Profile:
    """The profile of a file.

    Raises
    ------
    ProfileError
        It cannot be read or has mistakes: one line for each, with file, line and key.
    """
    text = read_text(path)
    profile = profile_of_text(text, path)
    try:
        return with_cube(profile, path.parent)
    except CubeError as fault:
        line = line_of(key_lines(text), ("screen", "cube"))
        raise ProfileError(f"{path}:{line}: screen.cube: {fault}") from fault


def profile_of_text(text: str, path: Path) -> Profile:
    """The profile of a text, named as the file it is (to be) in; of a table only the name.

    Raises
    ------
    ProfileError
        It has mistakes: one line for each, with file, line and key.
    """
    parsed = parse_toml(text, path)
    document, problems = _document(parsed.raw)
    if document is not None:
        problems += _level_problems(document, problems)
    if problems or parsed.twice or document is None:
        lines = key_lines(parsed.text)
        found = [(line_of(lines, each.key), f"{each.path}: {each.what}") for each in problems]
        ordered = sorted([*found, *parsed.twice], key=lambda each: each[0] or 0)
        report = [f"{path}:{line}: {what}" if line else f"{path}: {what}" for line, what in ordered]
        raise ProfileError("\n".join(dict.fromkeys(report)))
    return _profile(document, path)


def _document(raw: dict[str, Any]) -> tuple[Document | None, list[Problem]]:
    """The document, as far as it can be understood, and what cannot."""
    problems = control_problems(raw)
    try:
        return Document.model_validate(raw), problems
    except ValidationError as error:
        problems += problems_of(error)
    try:
        return Document.model_validate(_without(raw, problems)), problems
    except ValidationError:
        return None, problems


def _bad_stripes(problems: list[Problem]) -> set[int]:
    return {
        each.key[1]
        for each in problems
        if each.key[0] == "stripes" and len(each.key) > 1 and isinstance(each.key[1], int)
    }


def _without(raw: dict[str, Any], problems: list[Problem]) -> dict[str, Any]:
    """The document without the parts that have a mistake, to check the others nevertheless."""
    bad = {each.key[0] for each in problems if each.key[:1] != ("stripes",) or len(each.key) == 1}
    rest = {key: value for key, value in raw.items() if key not in bad}
    stripes = _bad_stripes(problems)
    if stripes and "stripes" in rest:
        rest["stripes"] = [s for i, s in enumerate(rest["stripes"]) if i not in stripes]
    return rest


def _level_problems(document: Document, problems: list[Problem]) -> list[Problem]:
    bad = _bad_stripes(problems)
    count = len(document.stripes) + len(bad)
    places = [place for place in range(count) if place not in bad]
    levels = {
        key: level
        for key in ("target", "clip", "floor")
        if (level := getattr(document, key)) is not None
    }
    return level_problems(
        document.transfer,
        document.carriage,
        document.signal.range,
        levels,
        dict(zip(places, (each.band for each in document.stripes), strict=True)),
    )


def _profile(document: Document, path: Path) -> Profile:
    spot, speck = document.spot, document.speck
    return Profile(
        name=path.stem,
        title=document.title or path.stem,
        curve=document.transfer,
        carriage=document.carriage,
        override=SignalOverride(document.signal.range, document.signal.matrix),
        target=stops(0.0) if document.target is None else document.target,
        within_stops=document.target_within or USUAL_WITHIN_STOPS,
        clip=document.clip,
        floor=document.floor,
        stripes=tuple(each.band for each in document.stripes),
        speck_percent=USUAL_SPECK_PERCENT if speck is None else speck,
        spot_percent=USUAL_SPOT_PERCENT if spot is None else spot,
        notes=document.notes,
        gamut=document.gamut,
        dial=document.balance.white,
        tolerance=document.balance.tolerance,
        camera=document.camera.camera,
        chips=tuple(document.chips.targets.items()),
        watch=document.watch.tolerance,
        pins=tuple((pin.name, pin.x, pin.y) for pin in document.pins),
        workers=document.workers,
        monitor=None if document.screen is None else document.screen.monitor,
        cube_file="" if document.screen is None else document.screen.cube,
        source_path=path,
    )
