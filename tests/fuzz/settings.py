"""The file of settings, damaged: a sentence and a factory start, or a state that goes on."""

import json
import random
from collections.abc import Sequence
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

from firmware.actions import PlaceSpot, Press
from firmware.feeds.base import FeedInfo
from firmware.instruments.registry import REGISTRY
from firmware.kept.document import KeptAsked
from firmware.kept.settings_file import read_kept
from firmware.live.locked import after
from firmware.live.remembered import kept_of, restored
from firmware.live.state import State, first_state
from firmware.profiles.shelf import shipped_profiles
from overlays.signal.signal import Signal
from tests.fuzz.cases import Fault

ASKED = KeptAsked(view="expose")
VALUES: tuple[Any, ...] = (
    *(None, True, 0, 1, -1, 2, 7, 10**9, -(10**18), 0.5, -0.0, 1e300, float("nan"), float("inf")),
    *("", "x", "expose", "hlg", "LUMA", "\u0000", "9" * 5000, [], {}, [[]], {"x": 1}, [1, 2, 3]),
)


@cache
def start() -> State:
    """As it starts without anything kept."""
    info = FeedInfo("x", "", 640, 360, Signal(), 25.0)
    return first_state(shipped_profiles(), info, REGISTRY.view(None))


def content(dice: random.Random) -> bytes:
    """What a card may hold: something that was set, and then damage of some kind."""
    state = start()
    for _ in range(dice.randrange(12)):
        state = after(state, dice.choice([*Press, PlaceSpot(dice.randrange(640), 9)]))
    whole = kept_of(state, ASKED).content()
    kind = dice.random()
    if kind < 0.5:
        found = json.loads(whole)
        for _ in range(dice.randrange(1, 4)):
            _change(found, dice)
        return json.dumps(found).encode(dice.choice(("utf-8", "utf-8", "utf-16")))
    changed = bytearray(whole)
    for _ in range(dice.randrange(1, 8)):
        changed[dice.randrange(len(changed))] = dice.randrange(256)
    if kind < 0.7:
        return bytes(changed)
    return bytes(changed[: dice.randrange(len(changed))]) + b"\0" * dice.choice((0, 0, 4096))


def _change(part: Any, dice: random.Random) -> None:
    """Something somewhere in it becomes something else."""
    while True:
        keys = list(part) if isinstance(part, dict) else list(range(len(part)))
        if not keys:
            return
        key = dice.choice(keys)
        if isinstance(part[key], dict | list) and part[key] and dice.random() < 0.7:
            part = part[key]
            continue
        part[key] = deepcopy(dice.choice(VALUES))
        return


def case(dice: random.Random, folder: Path) -> Sequence[Sequence[str]]:
    """A file that is read and taken up; no command line is needed for that."""
    path = folder / "settings.json"
    path.write_bytes(content(dice))
    try:
        said = _taken_up(path)
    except Exception as fault:
        raise Fault(f"{path.read_bytes()!r}: {fault!r}") from fault
    if said is not None and (not said.startswith(str(path)) or "\n" in said):
        raise Fault(f"no sentence: {said!r}")
    return []


def _taken_up(path: Path) -> str | None:
    """What is said of a file that cannot be used; None of one that a state was made of."""
    found = read_kept(path)
    if found.kept is None:
        return found.said
    state = restored(start(), found.kept, ASKED)
    for press in Press:
        state = after(state, press)
    kept_of(state, ASKED).content()
    return None
