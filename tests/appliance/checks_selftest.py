"""The self-test on the virtual board, with nobody to ask: every step that can run there does."""

import json

from checks_live import NODE
from checks_screen import start_service
from machine import Machine

COMMAND = f"/opt/midgrey/current/bin/midgrey selftest /run/selftest.zip --feed v4l2:{NODE} --alone"
MEASURED = (3, 4, 5, 7)
"""Steps that the kernel's own capture device and a service are enough for."""


def walks_the_checklist(machine: Machine) -> str:
    """All steps are in the file, those that can run have figures, and nothing else is claimed."""
    machine.check("systemctl stop midgrey.service")
    try:
        machine.check(f"cd /run && {COMMAND}", 400.0)
    finally:
        start_service(machine)
    said = machine.check(
        "python3 -c \"import zipfile; print(zipfile.ZipFile('/run/selftest.zip')"
        ".read('selftest.json').decode())\""
    )
    steps = {each["number"]: each["found"] for each in json.loads(said)["steps"]}
    assert sorted(steps) == list(range(1, len(steps) + 1)), sorted(steps)
    for number in MEASURED:
        assert steps[number]["figures"], steps[number]
    assert not any(each["seen_by"] == "a person" for each in steps.values()), steps
    outcomes = [each["outcome"] for each in steps.values()]
    return ", ".join(f"{outcomes.count(each)} {each}" for each in sorted(set(outcomes)))
