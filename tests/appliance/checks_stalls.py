"""A stage stopped by a debugger's means, timed to its face by the guest's own clock.

On the framebuffer and with a small picture, where even the emulated board turns as often as a real
one: with the patience that a unit is delivered with, not that of the emulated board.
"""

import re
import time
from math import inf
from statistics import median

from checks_framebuffer import SETTINGS
from checks_live import control, stop_playing
from checks_screen import DROP_IN, HERE, LOOSE, main_pid, start_service
from machine import Machine

STOPPED_S, LOOKED_S = 2, 16
AHEAD_S = 7.0
"""In which whoever looks has loaded its libraries, and the unit has its pace again."""
SHOWN_S, WELL_S = 0.5, 20.0
PATIENT_S = 8.5
"""With the most patience that a unit has (`MOST_PATIENT_NS`), and a picture to paint."""
HUNG_S = 180.0
"""In which whoever stops a thread has given up."""
ALIKE = "setsid"
"""In a session of its own, which has as much of the processor as the service has: the agent's has
more, and whoever looks for so long would leave the picture too little (autogroups, sched(7))."""
TRIES = 6
"""A turn of the emulated board takes longer than units have patience for now and then: what is
stopped just then is stopped again."""


def stalls_within_half_a_second(machine: Machine) -> str:
    """Measuring and capture, each stopped twice: their face, and well again by itself."""
    for name in ("hang.py", "faces.py"):
        machine.put(f"/run/tests/{name}", (HERE / "guest" / name).read_bytes())
    machine.check(f"cp {SETTINGS} /run/settings; systemctl stop midgrey.service", 90.0)
    machine.check(f"mkdir -p {DROP_IN}")
    machine.put(f"{DROP_IN}/{LOOSE}", b"[Service]\nWatchdogSec=60\n")
    try:
        machine.check("systemctl daemon-reload")
        machine.check(f"sed -i /PATIENCE/d {SETTINGS}")
        machine.check(f"echo MIDGREY_FRAMEBUFFER=/dev/fb0 >> {SETTINGS}")
        machine.check(f"sed -i /MIDGREY_OPTIONS/d {SETTINGS}")
        machine.check(f"echo MIDGREY_OPTIONS=--view picture >> {SETTINGS}")  # the least to paint
        control(machine, "dv_timings=0")  # 640x480
        control(machine, "dv_timings_signal_mode=4")
        machine.check("systemctl reset-failed midgrey.service; systemctl start --no-block midgrey")
        _until_live(machine)
        pid = main_pid(machine)
        found = [_timed_while_live(machine, pid, stage) for stage in ("measure", "capture") * 2]
        assert main_pid(machine) == pid, "the service was started anew"
    finally:
        machine.check(f"rm {DROP_IN}/{LOOSE}; systemctl daemon-reload")
        machine.check(f"systemctl stop midgrey.service; cp /run/settings {SETTINGS}", 90.0)
        stop_playing(machine)
    start_service(machine)
    shown, well = zip(*found, strict=True)
    told = f"shown after {', '.join(f'{each:.2f}' for each in shown)} s"
    # Where turns have been slow just before, the unit has more patience: this board's often are.
    assert median(shown) <= SHOWN_S * machine.slower, told
    assert max(shown) <= PATIENT_S, told
    assert max(well) <= WELL_S, well
    return f"{told}, well again {max(well):.1f} s after it went on at most"


def _until_live(machine: Machine) -> None:
    def is_live() -> bool:
        said = machine.check("systemctl show --property=StatusText --value midgrey.service")
        return said.startswith("live")

    machine.until("live", is_live, 120.0)


def _timed_while_live(machine: Machine, pid: int, stage: str) -> tuple[float, float]:
    """Seconds from the stop until its face is seen, and from going on until it is not."""
    for _ in range(TRIES):
        if found := _timed(machine, pid, stage):
            return found
    raise AssertionError(f"never live long enough for {stage} to be stopped")


def _timed(machine: Machine, pid: int, stage: str) -> tuple[float, float] | None:
    """The same; None where it was stopped while a face of alarm stood there, or just before."""
    size = machine.check("cat /sys/class/graphics/fb0/virtual_size").strip().split(",")
    python = "/opt/midgrey/current/bin/python"
    look = f"{python} /run/tests/faces.py /dev/fb0 {size[1]} {size[0]} {LOOKED_S}"
    machine.check(f"{ALIKE} {look} > /run/tests/faces.log 2>&1 &")
    time.sleep(AHEAD_S)
    ends_s = float(machine.check("cat /proc/uptime").split()[0]) + LOOKED_S - AHEAD_S
    hang = f"python3 /run/tests/hang.py {pid} {stage} {STOPPED_S}"
    machine.check(f"{ALIKE} {hang} > /run/tests/hang.log 2>&1 &")
    time.sleep(LOOKED_S - AHEAD_S + 2.0)
    # A thread that holds Python's lock is let go and stopped again, which may outlast who looks.
    is_over = lambda: machine.run("pgrep -f tests/[h]ang.py").status != 0  # noqa: E731
    machine.until("the end of the stop", is_over, HUNG_S)
    told = machine.check("cat /run/tests/hang.log")
    stopped = re.search(r"stopped at ([\d.]+)", told)
    assert stopped, told
    at_s = float(stopped[1])
    lines = [line.split() for line in machine.check("cat /run/tests/faces.log").splitlines()]
    seen = [(float(when), face) for when, face in lines]
    before = [(when, face) for when, face in seen if when <= at_s + 0.1]
    if not before or before[-1][1] != "other" or at_s - before[-1][0] < SHOWN_S:
        return None
    went_on = re.search(r"went on at ([\d.]+)", told)
    assert went_on, told
    shown, well = _after(seen, "alarm", at_s), _after(seen, "other", float(went_on[1]))
    # Stopped so late that nobody looked any more: nothing is known.
    return None if shown == inf and at_s + PATIENT_S > ends_s else (shown, well)


def _after(seen: list[tuple[float, str]], face: str, at_s: float) -> float:
    """Seconds until a face is seen; infinity where it never was."""
    return min((when for when, each in seen if each == face and when > at_s), default=inf) - at_s
