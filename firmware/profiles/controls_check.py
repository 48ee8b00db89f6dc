"""What is wrong with the controls of a profile's camera, every mistake at its own key.

The raw table is looked at, not what the validator made of it: a mistake in one control must not
hide that of another.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Any

from firmware.errors import QuantityError
from firmware.profiles.camera_table import parse_rate, written
from firmware.profiles.problems import Key, Problem
from firmware.profiles.settings_text import parse_setting
from overlays.measure.expose.sequences import ControlKind, Setting

_ANY_RATE = 24.0
"""An angle is checked for sense at some rate; which is known only with the feed."""
_SAME_STOPS = 1e-6
_FALLING = frozenset({ControlKind.ND, ControlKind.APERTURE})
"""Controls whose numbers rise as light falls."""
_MAKE = re.compile(r"\s*(f|t)", re.IGNORECASE)

Settings = dict[Key, tuple[str, Setting]]
"""By the key that each stands at, below the control's own: what is written, and what it means."""


def control_problems(raw: Mapping[str, Any]) -> list[Problem]:
    """Mistakes in `[camera]`'s nd, aperture, iso and shutter.

    Parameters
    ----------
    raw:
        The whole document, as TOML has it.
    """
    camera = raw.get("camera")
    if not isinstance(camera, dict):
        return []
    rate = _rate(camera.get("rate"))
    out: list[Problem] = []
    for kind in ControlKind:
        table = camera.get(kind.value)
        if isinstance(table, dict):
            out += _of_control(kind, table, rate)
    return out


def _rate(given: object) -> float:
    try:
        return _ANY_RATE if given is None else parse_rate(given)
    except QuantityError:
        return _ANY_RATE


def _of_control(kind: ControlKind, table: Mapping[str, Any], rate: float) -> Iterator[Problem]:
    here: Key = ("camera", kind.value)
    understood: Settings = {}
    for key, given in _given(table):
        try:
            text = written(given)
            understood[key] = text, parse_setting(kind, text, rate)
        except QuantityError as fault:
            yield Problem((*here, *key), str(fault))
    for key, what in (
        *_ways(kind, table),
        *_mixed_makes(kind, understood),
        *_out_of_order(kind, understood),
        *_now_outside(understood),
    ):
        yield Problem((*here, *key), what)


def _given(table: Mapping[str, Any]) -> Iterator[tuple[Key, object]]:
    """Every setting that is written, with its key below the control's."""
    for name in ("now", "lowest", "highest"):
        if table.get(name) is not None:
            yield (name,), table[name]
    for name in ("only", "filters"):
        listed = table.get(name)
        if isinstance(listed, list):
            yield from (((name, place), each) for place, each in enumerate(listed))


def _ways(kind: ControlKind, table: Mapping[str, Any]) -> Iterator[tuple[Key, str]]:
    """Settings are listed, or lie between two limits, or are filters one behind the other."""
    if table.get("filters"):
        if kind is not ControlKind.ND:
            yield ("filters",), "only nd can have filters; take them away"
        elif any(name in table for name in ("only", "lowest", "highest")):
            yield ("filters",), "there are filters and other settings; give the filters alone"
        return
    limits = [name for name in ("lowest", "highest") if name in table]
    if table.get("only") and limits:
        yield (
            ("only",),
            "there are both only and limits; give the settings in only, or lowest and highest",
        )
    elif len(limits) == 1:
        other = "highest" if limits == ["lowest"] else "lowest"
        yield (limits[0],), f"is one limit without {other}; give both lowest and highest"


def _mixed_makes(kind: ControlKind, understood: Settings) -> Iterator[tuple[Key, str]]:
    """A lens is marked in T or in f; a number alone is as the others."""
    if kind is not ControlKind.APERTURE:
        return
    first: tuple[str, str] | None = None
    for key, (text, _) in understood.items():
        found = _MAKE.match(text)
        if found is None:
            continue
        make = found[1].upper()
        if first is None:
            first = make, text
        elif make != first[0]:
            yield (
                key,
                f"{text} is marked unlike {first[1]}; write all in f or all in T",
            )


def _out_of_order(kind: ControlKind, understood: Settings) -> Iterator[tuple[Key, str]]:
    if ("lowest",) not in understood or ("highest",) not in understood:
        return
    low, high = understood["lowest",], understood["highest",]
    rises = high[1].stops - low[1].stops
    if kind in _FALLING:
        rises = -rises
    if rises < -_SAME_STOPS:
        yield ("lowest",), f"{low[0]} is higher than highest, {high[0]}; exchange the two"


def _now_outside(understood: Settings) -> Iterator[tuple[Key, str]]:
    if ("now",) not in understood:
        return
    text, now = understood["now",]
    listed = [each for key, each in understood.items() if key[0] == "only"]
    limits = [understood[name,] for name in ("lowest", "highest") if (name,) in understood]
    if listed and all(abs(each.stops - now.stops) > _SAME_STOPS for _, each in listed):
        names = ", ".join(said for said, _ in listed)
        yield ("now",), f"{text} is none of only, {names}; write one of them, or add it to only"
    elif len(limits) == 2 and not listed:
        low, high = sorted(each.stops for _, each in limits)
        if not low - _SAME_STOPS <= now.stops <= high + _SAME_STOPS:
            ends = " to ".join(said for said, _ in limits)
            yield ("now",), f"{text} lies outside of its limits, {ends}; move it or them"
