"""The feed check from its buttons on the live feed: limited and full range are told apart."""

import json

from checks_live import play, stop_playing
from machine import Machine

DOCTOR = "XDG_CONFIG_HOME=/run/checker /opt/midgrey/current/bin/midgrey doctor --json; true"


def ranges_are_told_apart(machine: Machine) -> str:
    """The board says limited whatever comes; full range is found by cap, card, clip and more.

    What was found is kept by the same button; from then on the device is read so, with the day.
    """
    said = []
    for levels in ("limited", "full"):
        play(machine, f"cap-{levels}", "uyvy", 720)
        machine.python("import checker; c = checker.Checker()", 240.0)
        answer = machine.python("answer = c.take()", 120.0)
        for what in ("card", "clip"):
            play(machine, f"{what}-{levels}", "uyvy", 720)
            answer = machine.python("answer = c.take()", 120.0)
        while answer[3] is not None:
            play(machine, f"{answer[3]}-{levels}", "uyvy", 720)
            answer = machine.python("answer = c.take()", 120.0)
        readings, certain, names, _ = answer
        assert certain, answer
        assert ["BT.709", levels] in names, answer
        said.append(f"{levels} after {readings} readings, {_kept(machine, levels)}")
    stop_playing(machine)
    return "; ".join(said)


def _kept(machine: Machine, levels: str) -> str:
    """What was found is kept by a press, and goes on in other processes."""
    kept, read_as, described, warnings = machine.python("answer = c.keep()", 180.0)
    assert f"is read as {levels} range" in kept, kept
    assert read_as == levels, read_as
    assert "feed check of 20" in described, described
    assert not [each for each in warnings if "range" in each], warnings
    found = json.loads(machine.check(DOCTOR, 120.0))["checks"]
    rows = [each["detail"] for each in found if each["what"] == "feed check"]
    assert len(rows) == 1, found
    assert f": {levels}, checked 20" in rows[0], rows
    return "kept and read so"
