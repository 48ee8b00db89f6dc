"""The machine's health as the appliance shows it: the line on the screen, and the doctor."""

import json
import re
import time

import numpy as np
from checks_screen import is_whole, keep, part, shown, until_live
from machine import Machine

FOLDER = "/var/lib/midgrey"
FILLER = f"{FOLDER}/filler"
SIGN = (slice(1, 24), slice(1, 23))
"""Where the sign of a line stands, at the upper left of the picture of 1280x720."""


def has_alarm(screen: np.ndarray) -> bool:
    """Whether the sign of a grave line stands there: its colour around two marks."""
    red = (part(screen, SIGN).astype(int) - (255, 130, 122)).__abs__().max(axis=2) < 40
    return bool(0.5 < red.mean() < 0.98)


def rows(machine: Machine) -> dict[str, dict[str, str]]:
    """What the doctor says, by its first column."""
    # It ends with a status of its own only where it could not look.
    found = json.loads(machine.check("/opt/midgrey/current/bin/midgrey doctor --json", 120.0))
    return {row["what"]: row for row in found["checks"]}


def full_card(machine: Machine) -> str:
    """A card that turns full is said on the screen and by the doctor, and stops nothing."""
    until_live(machine, 120.0)
    before = machine.screen()
    assert not has_alarm(before), "there is an alarm already"
    card = rows(machine)["card"]
    assert card["finding"] == "works", card
    assert card["detail"].startswith(f"{FOLDER} keeps what is saved"), card
    free = int(machine.check(f"df --output=avail -B1 {FOLDER} | tail -1"))
    machine.check(f"fallocate -l {free - 3_000_000} {FILLER}", 120.0)
    try:
        said_s = shown(machine, "the line", has_alarm, 60.0)
        keep(machine, "full")
        assert is_whole(machine.screen()), "the readings went"
        card = rows(machine)["card"]
        assert card["finding"] == "fault", card
        assert "no room" in card["detail"], card
    finally:
        machine.check(f"rm -f {FILLER}")
    gone_s = shown(machine, "no line", lambda screen: not has_alarm(screen), 90.0)
    return f"said after {said_s:.0f} s, gone {gone_s:.0f} s after it was put right"


def frames_are_known_beside_it(machine: Machine) -> str:
    """The doctor, another process, knows what the running appliance has counted: more than none."""
    until_live(machine, 120.0)
    end = time.monotonic() + 90.0
    while not _rate_in(said := rows(machine)["frames"]["detail"]) > 0.0:
        assert time.monotonic() < end, said
    return said


def _rate_in(said: str) -> float:
    """Frames a second that are shown, in the doctor's words; 0 where it knows none yet."""
    found = re.match(r"([0-9.]+) of [0-9.]+ frames a second", said)
    return float(found[1]) if found else 0.0


def read_only_by_choice(machine: Machine) -> str:
    """With a read-only root and no data partition, the doctor says what becomes of pictures."""
    card = rows(machine)["card"]
    assert card["finding"] == "note", card
    assert "gone at power-off" in card["detail"], card
    assert "midgrey-data" in card["remedy"], card
    return card["detail"]
