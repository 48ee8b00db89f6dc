"""The feed check from its buttons on the live feed: limited and full range are told apart."""

from checks_live import play, stop_playing
from machine import Machine


def ranges_are_told_apart(machine: Machine) -> str:
    """The board says limited whatever comes; full range is found by cap, card, clip and more."""
    said = []
    for levels in ("limited", "full"):
        play(machine, f"cap-{levels}", "uyvy", 720)
        machine.python("import checker; c = checker.Checker()", 240.0)
        answer = machine.python("answer = c.hold()", 120.0)
        for what in ("card", "clip"):
            play(machine, f"{what}-{levels}", "uyvy", 720)
            answer = machine.python("answer = c.hold()", 120.0)
        while answer[3] is not None:
            play(machine, f"{answer[3]}-{levels}", "uyvy", 720)
            answer = machine.python("answer = c.hold()", 120.0)
        assert machine.python("answer = c.close()", 60.0)
        readings, certain, names, _ = answer
        assert certain, answer
        assert ["BT.709", levels] in names, answer
        said.append(f"{levels} after {readings} readings")
    stop_playing(machine)
    return ", ".join(said)
