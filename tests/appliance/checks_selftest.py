"""The self-test on the virtual board, with nobody to ask: every step that can run there does."""

import json

from checks_live import NODE
from checks_screen import start_service, until_live
from machine import Machine

COMMAND = f"/opt/midgrey/current/bin/midgrey selftest /run/selftest.zip --feed v4l2:{NODE} --alone"
OF_A_UNIT = (3,)
"""Steps that a running service is enough for; it holds the device."""
OF_A_DEVICE = (5, 7)
"""Steps that the kernel's own capture device is enough for, once the service has let go of it. The
one of pace (4) asks for 250 frames in two minutes, which no emulated board shows."""


def walks_the_checklist(machine: Machine) -> str:
    """All steps are in the file, those that can run have figures, and nothing else is claimed."""
    until_live(machine, 120.0)
    _walked(machine, OF_A_UNIT)
    machine.check("systemctl stop midgrey.service", 90.0)
    try:
        outcomes = _walked(machine, OF_A_DEVICE)
    finally:
        start_service(machine)
    return ", ".join(f"{outcomes.count(each)} {each}" for each in sorted(set(outcomes)))


def _walked(machine: Machine, measured: tuple[int, ...]) -> list[str]:
    """Walk through it; what came of each step."""
    machine.check(f"cd /run && rm -f selftest.zip && {COMMAND}", 600.0)
    said = machine.check(
        "python3 -c \"import zipfile; print(zipfile.ZipFile('/run/selftest.zip')"
        ".read('selftest.json').decode())\""
    )
    steps = {each["number"]: each["found"] for each in json.loads(said)["steps"]}
    assert sorted(steps) == list(range(1, len(steps) + 1)), sorted(steps)
    for number in measured:
        assert steps[number]["figures"], (number, steps[number])
    assert not any(each["seen_by"] == "a person" for each in steps.values()), steps
    return [each["outcome"] for each in steps.values()]
